"""Nothing is decided by looking into a sentence that the program made: kinds and facts decide, words come last.

A room that works things out makes none: it returns notices, and tables of words make sentences of them.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
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


@pytest.mark.slow
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


# Rooms that work things out.
ROOMS = (
    "balance", "carrying", "evidence", "families", "formulas", "jobs", "lifting", "lookup", "mechanics", "moving",
    "rigging", "shop", "weights",
)  # fmt: skip
WORD_MODULES = re.compile(r"(?:^|[._])(?:words|text|texts|clauses|notices|said)(?:\.|$)")
# Where a room makes a sentence all the same: by module and the function it stands in, empty outside of one.
MADE_BECAUSE = {
    ("carrying.checks", "mm"): "lengths in the name of a row of a plate, and in refusals",
    ("jobs.drafts.proposed", ""): "the remark of a record that is drafted",
    ("jobs.drafts.reversed", ""): "what is to be recorded, written into the draft",
    ("jobs.drafts.reversed", "_for_a_person"): "remarks of a record that is drafted",
    ("jobs.hung", "hung_fields"): "the text of a record that is written",
    ("jobs.progress", ""): "what closes every answer, without a figure",
    ("jobs.steps.figures", ""): "what closes every answer, without a figure",
    ("lifting.figures", ""): "what closes every answer, without a figure",
    ("lookup.as_json", ""): "a description in the schema",
    ("mechanics.hang.hanging", "why_impossible"): "of a refusal",
    ("mechanics.turn.edge_turn", "_off_at_once"): "of a refusal",
    ("rigging.chart", "read_chart"): "of a refusal",
    ("rigging.factors_read", "_allowance"): "faults of a file, all in one run",
    ("rigging.factors_read", "_number"): "faults of a file, all in one run",
    ("rigging.factors_read", "_steps"): "faults of a file, all in one run",
    ("rigging.factors_read", "_text"): "faults of a file, all in one run",
    ("weights.formula_mass", "_kg"): "stands where a printed figure would",
}
SENTENCE = re.compile(r"[a-z] .*[a-z°%)}\]]\.$")
FIGURE = re.compile(r"\{\} ?(?:kg|lb|mm|m|kN|N|%)\b|\{\}°")
# Fields of answers that once held sentences.
SAYING = ("says", "not_known", "why_not", "reason", "basis", "struck", "not_compared", "ask", "note")
HANDLING = ("carrying", "lifting", "mechanics", "moving", "rigging", "shop")


def made(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Sentences, and figures with their unit, that are put together outside of a refusal: where, and the text."""

    def walk(node: ast.AST, function: str) -> Iterator[tuple[str, str]]:
        if isinstance(node, ast.FunctionDef):
            function = function or node.name
        called = getattr(getattr(node, "func", None), "attr", getattr(getattr(node, "func", None), "id", ""))
        refuses = isinstance(node, ast.Raise | ast.Assert) or called.endswith("Error")
        if refuses or (isinstance(node, ast.ClassDef) and node.name.endswith("Error")):
            return
        text = _text_of(node)
        if text is not None:
            if SENTENCE.search(text) or FIGURE.search(text):
                yield function, text
            return
        for child in ast.iter_child_nodes(node):
            if not (isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant)):  # a docstring
                yield from walk(child, function)

    return walk(tree, "")


def _text_of(node: ast.AST) -> str | None:
    """A literal as it is, one with figures in it with ``{}`` in their place; None for anything else."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
    return None


def rooms(names: Iterable[str]) -> Iterator[tuple[str, ast.Module]]:
    """The modules of some rooms that hold no tables of words."""
    for room in names:
        for file in sorted((ROOT / room).rglob("*.py")):
            module = ".".join(file.relative_to(ROOT).with_suffix("").parts)
            if not WORD_MODULES.search(module):
                yield module, ast.parse(file.read_text(encoding="utf-8"))


@pytest.mark.slow
def test_no_room_that_works_things_out_makes_a_sentence() -> None:
    found = {(module, place): text for module, tree in rooms(ROOMS) for place, text in made(tree)}

    assert {place: text for place, text in found.items() if place not in MADE_BECAUSE} == {}
    assert MADE_BECAUSE.keys() - found.keys() == set(), "no longer there: take them off the list"


@pytest.mark.slow
def test_what_an_answer_about_handling_says_is_no_text() -> None:
    found = [
        f"{module}.{node.name}.{field.target.id}"
        for module, tree in rooms(HANDLING)
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef)
        for field in node.body
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)
        if field.target.id in SAYING and "str" in ast.unparse(field.annotation)
    ]

    assert found == []


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        (
            'def f(): return f"the leg at {name} is {mm:.0f} mm too long"',
            [("f", "the leg at {} is {} mm too long")],
        ),
        ('def f(): return "nobody looked where it goes."', [("f", "nobody looked where it goes.")]),
        ('def f():\n    "It says so."\n    raise StaticsError("nobody looked where it goes.")', []),
        ('class NoError(E):\n    def f(self): self.text = "nobody looked where it goes."', []),
        ('def f(): return Notice("falls", {"times": f"{times:.1f}"})', []),
    ],
)
def test_a_sentence_that_is_made_is_seen(text: str, seen: list[tuple[str, str]]) -> None:
    assert list(made(ast.parse(text))) == seen
