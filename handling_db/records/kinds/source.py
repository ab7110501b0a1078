"""Where figures come from: a document, a scale, a person's eye; and what such a kind is good for."""

from __future__ import annotations

from pydantic import model_validator

from handling_db.records.parts.texts import Date, Id, Line, MassText, Part, Text


class Instrument(Part):
    """A scale or a load cell: what it reads, how finely, and when it was last checked."""

    name: Line
    reach: MassText | None = None
    step: MassText | None = None
    last_check: Date | None = None
    check_due: Date | None = None
    calibration_doubt: MassText | None = None


class Source(Part):
    """One document, list, instrument or person that figures are read from."""

    source: Id
    name: Line
    kind: Id
    document: Line | None = None
    edition: Line | None = None
    shop: Id | None = None
    by: Line | None = None
    on: Date | None = None
    instrument: Instrument | None = None
    review_by: Date | None = None
    remark: Text | None = None

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.source


class SourceKind(Part):
    """A kind of source, its rank among the others and the doubt to assume when none is stated.

    The default half-width is the largest of the parts that are given: a percentage of the figure, a
    mass, a number of the instrument's steps. `below percent` and `above percent` are for kinds that err
    to one side. `chosen` says whether such a figure may be handed upward: ``hint`` only where nothing
    better is in force, and beside something better it is a cross-check that moves nothing; ``last`` never in
    a sum, but as an upper limit where nothing measured bounds the piece; ``no`` never.
    """

    source_kind: Id
    name: Line
    rank: Line
    percent: Line | None = None
    below_percent: Line | None = None
    above_percent: Line | None = None
    at_least: MassText | None = None
    steps: Line | None = None
    chosen: Line = "yes"
    basis: Text

    @model_validator(mode="after")
    def _numbers(self) -> SourceKind:
        for name in ("rank", "percent", "below_percent", "above_percent", "steps"):
            value = getattr(self, name)
            if value is not None and not _is_number(value):
                raise ValueError(f"'{name.replace('_', ' ')}' must be a plain number, not {value!r}")
        if self.chosen not in {"yes", "hint", "last", "no"}:
            raise ValueError("'chosen' is yes, hint, last or no")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.source_kind


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdecimal() and text.isascii()
