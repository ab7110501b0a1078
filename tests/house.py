"""The house as it stands, measured: ``python -m tests.house``. A look at the code, not a test of style.

``python -m tests.house --commits REV..REV`` prints what each of these commits took out of the package and put
into it, in lines of code, from git alone.
"""

from __future__ import annotations

import argparse
import ast
import functools
import graphlib
import io
import subprocess
import tokenize
from collections import Counter, defaultdict
from pathlib import Path
from typing import NamedTuple

from tests.reach import PACKAGE, House


def code_lines(text: str) -> int:
    """Lines with code on them: no blank line, comment or docstring."""
    return len(_rows(text))


def _rows(text: str) -> set[int]:
    tree = ast.parse(text)
    prose: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                prose |= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    lines: set[int] = set()
    skipped = {
        tokenize.COMMENT,
        tokenize.NL,
        tokenize.NEWLINE,
        tokenize.INDENT,
        tokenize.DEDENT,
        tokenize.ENDMARKER,
    }
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in skipped:
            lines |= set(range(token.start[0], token.end[0] + 1))
    return lines - prose


class Change(NamedTuple):
    """What one commit did to the package, in lines of code; a line only moved counts nowhere."""

    commit: str
    out: int
    added: int
    subject: str


def changes(span: str, folder: Path = PACKAGE) -> list[Change]:
    """The commits of a span, oldest first, that touch modules in a folder."""

    def git(*words: str) -> str:
        return subprocess.run(
            ["git", "-C", str(folder), *words], capture_output=True, check=True, text=True
        ).stdout

    @functools.cache
    def code(blob: str) -> Counter[str]:
        text = "" if not blob.strip("0") else git("cat-file", "blob", blob)
        lines = text.splitlines()
        return Counter(lines[row - 1].strip() for row in _rows(text))

    found = []
    listed = git("log", "--reverse", "--no-merges", "--format=%h %s", span, "--", ".").splitlines()
    for commit, subject in (line.split(" ", 1) for line in listed):
        old, new = Counter[str](), Counter[str]()
        raw = git(
            "diff-tree", "-r", "--root", "--no-commit-id", "--no-renames", "--no-abbrev", commit, "--", "."
        )
        for _, _, before, after, rest in (line.split(" ", 4) for line in raw.splitlines()):
            if rest.endswith(".py"):
                old += code(before)
                new += code(after)
        found.append(Change(commit, (old - new).total(), (new - old).total(), subject))
    return found


def told_changes(span: str) -> list[str]:
    """A line a commit, and the sum."""
    found = changes(span)
    out, added = sum(one.out for one in found), sum(one.added for one in found)
    rows = [*found, Change("all", out, added, f"{len(found)} commits")]
    return [
        f"{one.commit:9} {-one.out:+7,} {one.added:+7,} {one.added - one.out:+7,}  {one.subject}"
        for one in rows
    ]


def circles(house: House) -> list[list[str]]:
    """Modules that import each other, lazily too; what is only for types aside."""
    graph: dict[str, set[str]] = {}
    for name, tree in house.trees.items():
        hidden: set[ast.AST] = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
                hidden |= set(ast.walk(node))
        found: set[str] = set()
        for node in ast.walk(tree):
            if node in hidden or not isinstance(node, ast.ImportFrom) or not node.module:
                continue
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found.add(full if full in house.modules else node.module)
        graph[name] = {one for one in found if one in house.modules and one != name}
    rings = []
    while True:
        try:
            graphlib.TopologicalSorter(graph).prepare()
            return rings
        except graphlib.CycleError as error:
            ring = error.args[1]
            rings.append(ring)
            graph[ring[1]].discard(ring[0])


def same_fields(house: House) -> list[list[str]]:
    """Classes of at least three fields whose names are the same."""
    by_fields: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for one in house.definitions.values():
        if isinstance(one.node, ast.ClassDef):
            names = [
                n.target.id
                for n in one.node.body
                if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)
            ]
            if len(names) >= 3:
                by_fields[tuple(sorted(names))].append(one.full)
    return [found for found in by_fields.values() if len(found) > 1]


def many_parameters(house: House) -> list[str]:
    """Functions with more than six parameters, but for commands and self."""
    found = []
    for one in house.definitions.values():
        if not isinstance(one.node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if any("command" in ast.unparse(d) or "option" in ast.unparse(d) for d in one.node.decorator_list):
            continue
        given = one.node.args
        names = [
            a.arg
            for a in (*given.posonlyargs, *given.args, *given.kwonlyargs)
            if a.arg not in ("self", "cls")
        ]
        if len(names) > 6:
            found.append(f"{one.full} ({len(names)})")
    return found


def twice_named(house: House) -> list[str]:
    """Names of more than one class of the package; those of one module alone aside."""
    classes = Counter(o.name for o in house.definitions.values() if isinstance(o.node, ast.ClassDef))
    return sorted(name for name, count in classes.items() if count > 1 and not name.startswith("_"))


def folder_sizes(house: House) -> Counter[str]:
    """Modules a folder."""
    return Counter(
        ".".join(name.split(".")[:-1]) for name, path in house.modules.items() if path.name != "__init__.py"
    )


def measured(house: House) -> list[str]:
    """Every figure as a line."""
    lines = {name: code_lines(path.read_text(encoding="utf-8")) for name, path in house.modules.items()}
    whole = sum(lines.values())
    rooms: Counter[str] = Counter()
    for name in house.modules:
        rooms[name.split(".")[1] if "." in name else "(root)"] += lines[name]
    unreached = house.unreached()
    root = [n for n, p in house.modules.items() if n.count(".") == 1 and p.name != "__init__.py"]
    told = [f"{len(house.modules)} modules, {whole:,} lines of code"]
    told += [f"modules at the root: {len(root) + 1} ({', '.join(sorted(root))})"]
    told += [f"largest folders: {', '.join(f'{n} {c}' for n, c in folder_sizes(house).most_common(5))}"]
    told += [f"largest rooms: {', '.join(f'{n} {100 * c / whole:.1f} %' for n, c in rooms.most_common(5))}"]
    for title, found in (
        ("import circles", [" > ".join(ring) for ring in circles(house)]),
        ("class names twice", twice_named(house)),
        ("classes with the same fields", [" = ".join(one) for one in same_fields(house)]),
        ("functions with more than six parameters", many_parameters(house)),
        ("definitions that nobody reaches", [f"{d.full}:{d.line} ({d.lines} lines)" for d in unreached]),
    ):
        told += [f"{title}: {len(found)}", *(f"    {one}" for one in found)]
    return told


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.house", description=__doc__)
    parser.add_argument("--commits", metavar="REV..REV", help="What each commit took out and put in.")
    span = parser.parse_args().commits
    print("\n".join(told_changes(span) if span else measured(House())))
