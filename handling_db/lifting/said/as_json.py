"""Answers about lifts as JSON values: the fields of the answer, with the units of its figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypedDict

from handling_db.lifting.said.notices import KINDS, Rank, short_words
from handling_db.lifting.turn.words import notice_words
from handling_db.lookup.as_json import plain
from handling_db.quantities.notice import Notice


class NoticeJson(TypedDict):
    """One thing that is said: its place in the order, its kind, its words and the facts they rest on."""

    rank: int
    kind: str
    short: str
    words: str
    facts: Mapping[str, object]
    source: str


UNITS = {
    "mass": "kg",
    "length": "m",
    "angle": "deg",
    "force": "N",
    "moment": "N m",
    "share": "part of the load",
}


# What of an answer about a lift is about its legs.
ABOUT_LEGS = (
    "units", "id", "first", "lift", "centre", "no_centre", "legs", "no_legs", "points", "ratings", "cautions",
)  # fmt: skip


def lift_json(answer: Any, *, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer about a lift, turn, reading or joint; null means not known, never nothing.

    What is said stands there with its rank, kind, facts and words; what stands first is in order.

    Parameters
    ----------
    answer : frozen dataclass
        Such as LiftAnswer, TurnAnswer, ReadingAnswer or JointAnswer.
    first : str
        kg or lb: which comes first in the words.
    """
    return with_units(answer, lambda notice: notice_json(notice, first))


def notice_json(notice: Notice, first: str) -> NoticeJson:
    """One thing that is said about a lift, as JSON."""
    saying = KINDS.get(notice.kind)  # others only stand beside figures
    rank = saying.rank if saying else Rank.REASON
    return as_told(notice, rank, short_words(notice, first=first), notice_words(notice, first=first))


def as_told(notice: Notice, rank: int, short: str, words: str) -> NoticeJson:
    """A notice as JSON, with its place in the order and its words."""
    told = {"rank": int(rank), "kind": notice.kind, "short": short, "words": words}
    return {**told, "facts": notice.facts, "source": notice.source}  # type: ignore[typeddict-item]


def with_units(answer: Any, tell: Callable[[Notice], Any]) -> dict[str, Any]:
    """The fields of an answer with the units of its figures; `tell` makes what is said of a notice."""
    return {"units": UNITS, **plain(answer, lambda one: tell(one) if isinstance(one, Notice) else one, 12)}


def legs_json(answer: Any, *, first: str = "kg") -> dict[str, Any]:
    """Of an answer about a lift, what is about its legs."""
    whole = lift_json(answer, first=first)
    return {key: whole[key] for key in ABOUT_LEGS}
