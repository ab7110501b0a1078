"""The one order of what stands first, and that every kind has words that its facts can fill."""

from __future__ import annotations

import pytest

from handling_db.lifting.said.notices import (
    KINDS,
    Rank,
    ordered,
    rank_of,
)
from handling_db.quantities.notice import Notice


def test_the_order_of_the_first_lines():
    kinds = ["no mass", "stop", "not compared", "stored energy", "temporary ties in", "does not stand"]
    assert [rank_of(Notice(kind)) for kind in kinds] == [6, 5, 4, 3, 2, 1]
    assert [one.kind for one in ordered(Notice(kind) for kind in kinds)] == kinds[::-1]


def test_among_equals_as_they_came_and_once():
    first, second = Notice("not known", {"why": "a"}), Notice("not known", {"why": "b"})
    assert ordered([second, first, second]) == (second, first)


def test_a_kind_without_a_row_is_refused():
    with pytest.raises(KeyError):
        ordered([Notice("something new")])


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_says_something(kind):
    saying = KINDS[kind]
    assert saying.short or saying.long
    if saying.rank is Rank.REASON:
        assert not saying.short, "a reason has no place among the first lines"
    assert not saying.short.endswith("."), "first lines are joined, the full stop comes last"


def test_what_is_beyond_its_rating_stands_before_what_is_not_compared():
    kinds = [
        "not compared",
        "flat leg",
        "thread too short",
        "over the hoist",
        "edges nobody looked",
        "over its rating",
    ]

    assert [one.kind for one in ordered(Notice(kind) for kind in kinds)][:2] == [
        "over the hoist",
        "over its rating",
    ]


def test_what_turns_over_by_itself_stands_before_what_needs_a_push():
    kinds = ["turns over once slack", "may go slack", "turns over"]
    given = [Notice(kind) for kind in kinds if kind in KINDS]

    assert ordered(given)[0].kind == "turns over"
