"""Write docs/validation.md from the published and outside checks: ``python -m tests.published.write_validation``.

Read from the source of the tests, never from a run: the reference of each file, the mark of how far it was verified,
and of each check what it says, how many cases it has and within which tolerance it compares.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
PAGE = TESTS.parent / "docs" / "validation.md"

HEAD = """# Validation

Made from the tests by `python -m tests.published.write_validation`; a test keeps it current.

What is compared here was published by others, or is worked out by libraries that others wrote.
Figures that only compare this program with its own earlier output are not on this page.

**How far a source was verified** stands with each: "verified" says what was read (the text itself, or a secondary copy that quotes it); "from memory" says that nobody read it for this purpose; "our own arithmetic" says that the inputs are published and the answer was worked out again.
Check a figure against the edition in force before you rely on it.

**Tolerance**: "±" is in the unit of the figure, "%" a share of it.
"1e-6" is the default of the comparison: the figures agree to one part in a million.
"exact" means that words, whole figures or rounded digits are compared as they stand, or one figure with a limit.
"""

OUTSIDE = """## Against independent libraries

These run by `python -m pytest tests/outside` and need the `outside` extra; the libraries never run in the program itself.
"""

PUBLISHED = """## Against published figures

One file of tests for each book, standard or page.
"""


@dataclass(frozen=True, slots=True)
class Check:
    """One test: what it says, how many cases, how closely."""

    says: str
    cases: str
    tolerance: str


@dataclass(frozen=True, slots=True)
class Source:
    """One file of tests: its reference and its checks."""

    file: str
    title: str
    about: str
    checks: tuple[Check, ...]


def sources(folder: Path) -> Iterator[Source]:
    """Every file of checks in a folder, by title."""
    found = [_source(file) for file in folder.glob("test_*.py") if file.name != "test_validation_page.py"]
    return iter(sorted(found, key=lambda source: (source.title.lower(), source.file)))


def text() -> str:
    """The whole page."""
    out = [HEAD, PUBLISHED]
    out += [_section(source) for source in sources(TESTS / "published")]
    out.append(OUTSIDE)
    out += [_section(source) for source in sources(TESTS / "outside")]
    out += [_random_cases(), _coverage(), _attacks()]
    return "\n".join(out)


def _random_cases() -> str:
    """Counts of the last long run of the oracles that was kept."""
    kept = json.loads((TESTS / "oracles" / "counts.json").read_text(encoding="utf-8"))
    first, last = kept["seeds"]
    lines = [
        "## Random cases against independent computations",
        "",
        f"`python -m tests.oracles --hours 1 --write` was last kept with seeds {first} to {last}.",
        "*dangerous*: the program said less than is true by more than 0.1 %, or kept silent where it has to warn.",
        "*wide*: it said clearly more, or warned where nothing is wrong. *fell over*: it raised what is no refusal.",
        "",
        "| oracle | what it compares | cases | dangerous | wide | fell over |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name, counts in kept["oracles"].items():
        file = TESTS / "oracles" / f"{name}.py"
        about = (ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or name).split("\n")[0]
        lines.append(f"| `tests/oracles/{name}.py` | {about} | {' | '.join(map(str, counts))} |")
    return "\n".join(lines) + "\n"


def _coverage() -> str:
    """How often the printed range holds a truth that was drawn from the doubt as the records state it."""
    kept = json.loads((TESTS / "oracles" / "coverage.json").read_text(encoding="utf-8"))
    count, median, most, worst = kept["widths"]
    answers, below, lost = kept["planted"]
    lines = [
        "## How often the printed range holds the truth",
        "",
        f"`python -m tests.oracles.doubt_coverage --write`, seed {kept['seed']}, {kept['rounds']} collections of 12 "
        "units a kind.",
        "The truth is drawn from the doubt as the records state it; behind each share stands its interval of 95 % "
        "(Wilson's).",
        "Where every error stays inside what is stated, the range holds the truth always, and a miss is a fault.",
        "Where only u is stated, or errors are normal, it holds a share; there is no target for a single figure.",
        "The units of one collection share one bias: in the rows with a bias the intervals are too narrow for that.",
        "",
        "| doubt | range holds the truth | of single parts | of sums of eight | of parts that a whole leaves "
        "| sums within best ± 2 u |",
        "| --- | --- | --- | --- | --- | --- |",
        *(f"| {' | '.join(row)} |" for row in kept["kinds"]),
        "",
        f"Wide is no way to be right: of {count} dry ranges over all the evidence the width is {median:.4f} times "
        f"(median), {most:.4f} times (nine in ten) and at most {worst:.4f} times that of linear programming "
        "(HiGHS).",
        f"With wrong figures planted beside right ones, of {answers} answers the plan is below the truth in {below}, "
        f"and the second figure beside it, too, in {lost}.",
    ]
    return "\n".join(lines) + "\n"


def _attacks() -> str:
    """What the runs of the attacks that were kept have reached; fewer than a long run says so."""
    from tests.attacks import BAD
    from tests.attacks.__main__ import LONG

    kept = json.loads((TESTS / "attacks" / "counts.json").read_text(encoding="utf-8"))
    lines = [
        "## Attacks on every door",
        "",
        "`python -m tests.attacks --write` keeps what was reached. These are regression runs over input made by "
        "chance, with known truth; they validate nothing.",
        f"*must be 0*: {', '.join(BAD)}. A long run has the number behind *of*; fewer means that it was not run to "
        "its end.",
        "",
        "| attack | what it does | reached | of | must be 0 | seed |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name, reached in sorted(kept.items()):
        file = TESTS / "attacks" / f"{name}.py"
        about = (ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or name).split("\n")[0]
        wrong = sum(reached["seen"].get(word, 0) for word in BAD)
        lines.append(
            f"| `tests/attacks/{name}.py` | {about} | {reached['attacks']:,} | {LONG[name]:,} | {wrong} "
            f"| {reached['seed']} |"
        )
    return "\n".join(lines) + "\n"


def _section(source: Source) -> str:
    lines = [f"### {source.title}", "", f"`{source.file}`", ""]
    lines += [source.about, ""] if source.about else []
    lines += ["| check | cases | tolerance |", "| --- | --- | --- |"]
    lines += [f"| {check.says} | {check.cases} | {check.tolerance} |" for check in source.checks]
    return "\n".join(lines) + "\n"


def _source(file: Path) -> Source:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    paragraphs = (ast.get_docstring(tree) or file.stem).split("\n\n")
    functions = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}
    checks = tuple(
        Check(_says(node), _cases(node, tree), _tolerance(node, functions))
        for name, node in functions.items()
        if name.startswith("test_")
    )
    title = " ".join(paragraphs[0].split()).rstrip(".")
    about = "\n\n".join(_paragraph(paragraph) for paragraph in paragraphs[1:])
    return Source(f"{file.parent.parent.name}/{file.parent.name}/{file.name}", _cell(title), about, checks)


def _paragraph(paragraph: str) -> str:
    """Numbered references as a list, anything else as one line."""
    if ".. [" in paragraph:
        entries = re.split(r"\.\. \[(\d+)\] ", paragraph)[1:]
        return "\n".join(
            f"{number}. {' '.join(entry.split())}"
            for number, entry in zip(entries[::2], entries[1::2], strict=True)
        )
    return " ".join(paragraph.split())


def _says(node: ast.FunctionDef) -> str:
    said = ast.get_docstring(node)
    words = " ".join(said.split("\n\n")[0].split()) if said else node.name[5:].replace("_", " ")
    return _cell(words.rstrip("."))


def _cell(words: str) -> str:
    return words.replace("|", "/")


def _cases(node: ast.FunctionDef, tree: ast.Module) -> str:
    """How many cases, as far as the source tells without running it."""
    lists = {
        target.id: statement.value
        for statement in tree.body
        if isinstance(statement, ast.Assign)
        for target in statement.targets
        if isinstance(target, ast.Name)
    }
    count = 1
    for decorator in node.decorator_list:
        if not (isinstance(decorator, ast.Call) and ast.unparse(decorator.func).endswith("parametrize")):
            continue
        values: ast.expr = decorator.args[1]
        if isinstance(values, ast.Name):
            values = lists.get(values.id, values)
        if not isinstance(values, ast.List | ast.Tuple | ast.Dict) or _starred(values):
            return "several"
        count *= len(values.keys if isinstance(values, ast.Dict) else values.elts)
    loops = any(isinstance(inner, ast.For) for inner in ast.walk(node))
    return "several" if loops and count == 1 else str(count)


def _starred(values: ast.List | ast.Tuple | ast.Dict) -> bool:
    elements = values.keys if isinstance(values, ast.Dict) else values.elts
    return any(element is None or isinstance(element, ast.Starred) for element in elements)


def _tolerance(node: ast.FunctionDef, functions: dict[str, ast.FunctionDef]) -> str:
    """Tolerances named in a test and in the functions of its file that it calls."""
    found: list[str] = []
    called = {
        inner.func.id
        for inner in ast.walk(node)
        if isinstance(inner, ast.Call) and isinstance(inner.func, ast.Name) and inner.func.id in functions
    }
    for part in (node, *(functions[name] for name in sorted(called))):
        for inner in ast.walk(part):
            if isinstance(inner, ast.Call):
                found += _of_call(inner)
    return ", ".join(dict.fromkeys(found)) or "exact"


def _of_call(call: ast.Call) -> list[str]:
    name = ast.unparse(call.func).rsplit(".", 1)[-1]
    if name not in {"approx", "allclose", "assert_allclose", "isclose"}:
        return []
    shares = {"rel": "%", "rtol": "%", "rel_tol": "%", "abs": "±", "atol": "±", "abs_tol": "±"}
    given = [(shares[word.arg], word.value) for word in call.keywords if word.arg in shares]
    told = [_worded(sign, value) for sign, value in given if not _zero(value)]
    return told or (["exact"] if given else ["1e-6"])


def _zero(value: ast.expr) -> bool:
    return isinstance(value, ast.Constant) and value.value == 0


def _worded(sign: str, value: ast.expr) -> str:
    shown = ast.unparse(value)
    if isinstance(value, ast.Constant) and isinstance(value.value, int | float):
        number = float(value.value)
        if sign == "±":
            return f"±{shown}"
        return f"{100 * number:g} %" if number >= 1e-4 else f"{number:g} of it"
    return f"±`{shown}`" if sign == "±" else f"`{shown}` of it"


if __name__ == "__main__":
    PAGE.write_text(text(), encoding="utf-8")
