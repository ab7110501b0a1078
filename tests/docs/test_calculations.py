"""The page of calculations: what it names exists, and no published check or cited source is missing on it."""

from __future__ import annotations

import re

from tests.docs.pages import DOCS, ROOT

PAGE = (DOCS / "calculations.md").read_text(encoding="utf-8")

# The rooms that work things out.
ROOMS = (
    "quantities", "mechanics", "rigging", "carrying", "formulas", "families", "weights", "evidence", "balance",
    "lookup", "lifting", "moving", "shop", "checker",
)  # fmt: skip


def test_tests_that_are_named_exist() -> None:
    named = set(re.findall(r"`(tests/[\w/]+\.py)`", PAGE))

    assert named
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_modules_that_are_named_exist() -> None:
    named = set(re.findall(rf"`((?:{'|'.join(ROOMS)})/\w+\.py)`", PAGE))

    assert named
    assert [name for name in sorted(named) if not (ROOT / "handling_db" / name).exists()] == []


def test_every_published_check_is_named() -> None:
    """A check that nobody finds from the figure it checks is half a check."""
    there = {f"tests/published/{file.name}" for file in (ROOT / "tests" / "published").glob("test_*.py")}

    assert sorted(name for name in there if f"`{name}`" not in PAGE) == []


def test_every_calculation_that_cites_a_source_is_named() -> None:
    """A module of calc with references in its docstrings stands on the page by name."""
    silent = [
        f"{room}/{file.name}"
        for room in ROOMS
        for file in sorted((ROOT / "handling_db" / room).glob("*.py"))
        if re.search(r"References\s+-{5,}", file.read_text(encoding="utf-8"))
        and f"`{room}/{file.name}`" not in PAGE
    ]

    assert silent == []
