"""Whatever is defined can be reached from a public name, a command or a page."""

from __future__ import annotations

from tests.reach import whole


def test_every_definition_is_reached() -> None:
    """Wire it to a question that somebody asks, or delete it with its test."""
    assert [one.full for one in whole().unreached()] == []
