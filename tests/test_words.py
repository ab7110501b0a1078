"""Nothing is decided by looking into a sentence that the program made: kinds and facts decide, words come last."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "handling_db"
# What is looked for stands in words of somebody else; or, in sheets, what is said has no kinds yet.
ALLOWED = {
    ("formulas.formula", "repeated"): "Python's parser says so, and has no other sign",
    ("tables.rows", "unexpected end"): "Python's reader of CSV says so, and has no other sign",
    ("tables.rows", "field larger"): "Python's reader of CSV says so, and has no other sign",
    ("tables.cells", "counts "): "the text of a cell",
    ("tables.columns", "child"): "a set of headings",
    ("tables.columns", "parent"): "a set of headings",
    ("tables.sheets.rows_in", "EXAMPLE"): "the text of a cell",
    ("tables.columns", "the unit "): "a refusal of a unit has no kind yet",
    ("tables.text.headings", "the unit "): "a refusal of a unit has no kind yet",
    ("tables.sheets.rows_in", "hidden"): "why a row is left out has no kind yet",
    ("tables.sheets.sheet_in", "hidden"): "why a row is left out has no kind yet",
    ("cli.keep.sheet", "decimal sign"): "what is said of a sheet has no kind yet",
    ("moving.words", "before "): "a record's own words for the act before which a tie is out",
}
# What holds sentences is called so; what holds kinds, fields or columns is a set of them.
SENTENCES = re.compile(
    r"(?:^|_)(?:text|texts|words|sentence|why|told|line|reason|remark|says|because|basis|message)$"
)
SETS = ("kinds", "names", "columns", "units", "fields", "fits")
WORDS = re.compile(r"^ ?[A-Za-z]{2,}[A-Za-z ,']*[:.]? ?$")
SEVERAL = re.compile(r"^ | $|[a-z] [a-z]")
LOOKS_INTO = ("startswith", "endswith")


def decisions(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Where words are looked for in a text: the line and the words."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and isinstance(node.ops[0], ast.In | ast.NotIn):
            looked_for, holder = [node.left], node.comparators[0]
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") in LOOKS_INTO:
            looked_for, holder = node.args, getattr(node.func, "value", node.func)
        else:
            continue
        name = getattr(holder, "attr", getattr(holder, "id", ""))
        if name in SETS or isinstance(holder, ast.Tuple | ast.List | ast.Set | ast.Dict):
            continue
        for words in (one for each in looked_for for one in _literals(each)):
            if WORDS.match(words) and (SEVERAL.search(words) or SENTENCES.search(name)):
                yield node.lineno, words


def _literals(node: ast.expr) -> list[str]:
    several = node.elts if isinstance(node, ast.Tuple) else [node]
    return [one.value for one in several if isinstance(one, ast.Constant) and isinstance(one.value, str)]


def test_no_words_decide() -> None:
    found = {
        (".".join(file.relative_to(ROOT).with_suffix("").parts), literal): line
        for file in sorted(ROOT.rglob("*.py"))
        for line, literal in decisions(ast.parse(file.read_text(encoding="utf-8")))
    }

    assert {place: line for place, line in found.items() if place not in ALLOWED} == {}
    assert ALLOWED.keys() - found.keys() == set(), "no longer there: take them off the list"


def test_no_words_decide_on_a_page() -> None:
    pages = sorted((ROOT / "web" / "sheets").glob("*.html"))
    looked = re.compile(r"""["'][A-Za-z][^"'{}]*["'] (?:not )?in \w+[\w.]*\b(?!\()""")
    found = [(page.name, hit) for page in pages for hit in looked.findall(page.read_text(encoding="utf-8"))]

    assert pages
    assert found == []


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ('if "slack" in text: ...', ["slack"]),
        ('x = 1 if "no mass" not in answer.first_line else 2', ["no mass"]),
        ('if told.startswith("at least"): ...', ["at least"]),
        ('if why.endswith(("not known", "nobody looked")): ...', ["not known", "nobody looked"]),
        ('if kind in ("over its rating", "cannot meet"): ...', []),
        ('if "x" in names or name.startswith("_"): ...', []),
    ],
)
def test_a_look_into_words_is_seen(text: str, seen: list[str]) -> None:
    assert [literal for _, literal in decisions(ast.parse(text))] == seen
