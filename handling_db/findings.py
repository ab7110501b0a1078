"""A finding: one thing the checker has to say, with its place, both figures, the gap and a remedy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypedDict

from handling_db.errors import HandlingError


class Verdict(StrEnum):
    """What class of thing a finding is, the gravest first."""

    FAULT = "fault"
    DISAGREES = "disagrees"
    CANNOT_BE_CHECKED = "cannot be checked"
    REMARK = "remark"
    AGREES = "agrees"


def largest_hidden(gap: tuple[Fraction, Fraction]) -> Fraction:
    """How large an error of a single figure may be while parts and whole still touch. [kg]

    Were the whole out by e, its true figure would be e less; parts and that figure touch as long as e lies
    between W.low - S.high and W.high - S.low. With half-widths h together and g between the best figures that
    is h + |g| on one side and h - |g| on the other.

    Parameters
    ----------
    gap : (low, high)
        Parts less whole, of two that touch. [kg]
    """
    low, high = gap
    return max(abs(low), abs(high))


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something stands: a file, as the reader was given it, and a line counted from one."""

    file: str
    line: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


class FigureJson(TypedDict):
    """One interval that was compared. [kg]"""

    name: str
    low: float
    high: float


class FindingJson(TypedDict):
    """A finding as JSON has it; null for what it has not."""

    rule: str
    verdict: str
    about: str
    sentence: str
    remedy: str
    file: str | None
    line: int | None
    field: str | None
    figures_kg: list[FigureJson]
    gap_kg: list[float] | None
    because_of: list[str]
    rests_on_assumed_steps: bool
    hides_up_to_kg: float | None
    both_rest_on: list[str]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to say about the records.

    Parameters
    ----------
    rule : str
        The documented name of the rule.
    verdict : Verdict
    about : str
        Id of the component (or other record) it is about.
    sentence : str
        What was found, with both figures, in words.
    remedy : str
        What to do about it.
    place : Place, optional
        File and line; absent only for what stands in no file.
    field : str
        The field inside the record, empty for the record as a whole.
    figures : tuple of (str, Fraction, Fraction)
        Named intervals that were compared: name, low, high. [kg]
    gap : (Fraction, Fraction), optional
        The least and the greatest the two can differ by. [kg]
    because_of : tuple of component ids
        Where this follows from what disagrees in other components; empty for what stands by itself.
    rests_on_steps : bool
        With other steps of rounding than those assumed from the digits of the figures it would be otherwise.
    shared : tuple of str
        Names of what both sides of a comparison that agrees rest on: an error of it hides, however large.
    """

    rule: str
    verdict: Verdict
    about: str
    sentence: str
    remedy: str
    place: Place | None = None
    field: str = ""
    figures: tuple[tuple[str, Fraction, Fraction], ...] = ()
    gap: tuple[Fraction, Fraction] | None = None
    because_of: tuple[str, ...] = ()
    rests_on_steps: bool = False
    shared: tuple[str, ...] = ()

    @property
    def hides(self) -> Fraction | None:
        """Where two agree, the largest error of one figure that may hide in it; otherwise None. [kg]"""
        return largest_hidden(self.gap) if self.verdict is Verdict.AGREES and self.gap else None

    def __str__(self) -> str:
        """One line an editor can jump to: ``file:line: field: what is wrong. What to do.``"""
        where = f"{self.place}: " if self.place else ""
        named = f"{self.field}: " if self.field else ""
        head = "" if self.verdict is Verdict.FAULT else f"{self.verdict}: "
        return f"{where}{named}{head}{self.sentence} {self.remedy}".rstrip()

    def as_json(self) -> FindingJson:
        """Plain values with stable names, masses in kilograms."""
        return {
            "rule": self.rule,
            "verdict": str(self.verdict),
            "about": self.about,
            "sentence": self.sentence,
            "remedy": self.remedy,
            "file": self.place.file if self.place else None,
            "line": self.place.line if self.place else None,
            "field": self.field or None,
            "figures_kg": [
                {"name": name, "low": float(low), "high": float(high)} for name, low, high in self.figures
            ],
            "gap_kg": [float(limit) for limit in self.gap] if self.gap else None,
            "because_of": list(self.because_of),
            "rests_on_assumed_steps": self.rests_on_steps,
            "hides_up_to_kg": None if self.hides is None else float(self.hides),
            "both_rest_on": list(self.shared),
        }


@dataclass(frozen=True, slots=True)
class Absent(Finding):
    """A fault that a field names a record which stands nowhere: certain even where others cannot be read."""


def fault(
    place: Place | None, field: str, sentence: str, remedy: str = "", *, rule: str = "record", about: str = ""
) -> Finding:
    """A finding that something could not be read or makes no sense as written."""
    return Finding(rule, Verdict.FAULT, about, sentence, remedy, place, field)


def exit_status(findings: Iterable[Finding]) -> int:
    """The process status that says what was found.

    Returns
    -------
    int
        2 a fault, 1 something disagrees, 3 something cannot be checked, 0 none of these.
    """
    seen = {finding.verdict for finding in findings}
    for verdict, status in ((Verdict.FAULT, 2), (Verdict.DISAGREES, 1), (Verdict.CANNOT_BE_CHECKED, 3)):
        if verdict in seen:
            return status
    return 0


class FaultsError(HandlingError):
    """Records have faults, so that an answer from them could leave something out; every fault is told."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        many = "1 fault" if len(self.findings) == 1 else f"{len(self.findings)} faults"
        listed = "\n".join(str(finding) for finding in self.findings)
        super().__init__(f"{many} in the records, so nothing is worked out; correct them first:\n{listed}")
