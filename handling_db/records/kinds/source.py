"""Where figures come from: a document, a scale, a person's eye; and what such a kind is good for."""

from __future__ import annotations

from pydantic import model_validator

from handling_db.records.parts.common import Recorded
from handling_db.records.parts.measures import MassOrPercent, MassText
from handling_db.records.parts.texts import Date, Id, Line, Part, Text


class Instrument(Part):
    """A scale or a load cell: what it reads, how finely, and when it was last checked."""

    name: Line
    """what it is"""
    reach: MassText | None = None
    """the most it reads"""
    step: MassText | None = None
    """the step it reads to"""
    last_check: Date | None = None
    """when it was last checked"""
    check_due: Date | None = None
    """when the next check is due"""
    calibration_doubt: MassText | None = None
    """what it may be out by for all readings alike"""


class Source(Recorded):
    """One document, list, instrument or person that figures are read from."""

    source: Id
    """its id"""
    name: Line
    """what people call it"""
    kind: Id
    """the id of a source kind, such as `weighed`, `hook reading`, `maker's manual`, `nameplate`, `supplier's
    list`, `by eye`"""
    document: Line | None = None
    """title of the document"""
    edition: Line | None = None
    """its edition"""
    shop: Id | None = None
    """the shop it stands in"""
    by: Line | None = None
    """whose role keeps it or said it"""
    on: Date | None = None
    """its date"""
    instrument: Instrument | None = None
    """for a scale or a load cell"""
    all_off_alike: MassOrPercent | None = None
    """how far all its figures may be off the same way, as `2 %` or a mass, a part of the doubt of each: a
    list with its boxes, one allowance behind every shape"""
    review_by: Date | None = None
    """a date after which it should be looked at again"""
    remark: Text | None = None
    """anything else"""


class SourceKind(Recorded):
    """A kind of source, its rank among the others and the doubt to assume when none is stated.

    The default half-width is the largest of the parts that are given: a percentage of the figure, a
    mass, a number of the instrument's steps. `below percent` and `above percent` are for kinds that err
    to one side. `chosen` says whether such a figure may be handed upward: ``hint`` only where nothing
    better is in force, and beside something better it is a cross-check that moves nothing; ``last`` never in
    a sum, but as an upper limit where nothing measured bounds the piece; ``no`` never.
    """

    source_kind: Id
    """its id"""
    name: Line
    """in full words"""
    rank: Line
    """a number; 1 is trusted first"""
    percent: Line | None = None
    """half-width as a share of the figure"""
    below_percent: Line | None = None
    """the same, only below"""
    above_percent: Line | None = None
    """the same, only above"""
    at_least: MassText | None = None
    """half-width as a mass; the largest of these counts"""
    steps: Line | None = None
    """half-width as a number of the instrument's steps"""
    chosen: Line = "yes"
    """`yes`; `hint`, used only where nothing better is in force; `last`, never added up, but an upper limit
    where nothing measured bounds the piece; `no`, never"""
    basis: Text
    """where these numbers come from"""

    @model_validator(mode="after")
    def _numbers(self) -> SourceKind:
        for name in ("rank", "percent", "below_percent", "above_percent", "steps"):
            value = getattr(self, name)
            if value is not None and not _is_number(value):
                raise ValueError(f"'{name.replace('_', ' ')}' must be a plain number, not {value!r}")
        if self.chosen not in {"yes", "hint", "last", "no"}:
            raise ValueError("'chosen' is yes, hint, last or no")
        return self


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdecimal() and text.isascii()
