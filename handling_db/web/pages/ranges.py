"""Ranges that whoever asks gives for what nobody weighed: ``assume=`` in an address, or two boxes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from handling_db.errors import HandlingError
from handling_db.lifting.figures import OpenRange
from handling_db.quantities.display import figure_in, span
from handling_db.quantities.table import KG, LB
from handling_db.web.pages.asked import one_of, text_of
from handling_db.web.ways import UNITS

LOW, HIGH = "low.", "high."
MOST = 20
LONGEST = 200


@dataclass(frozen=True, slots=True)
class Boxes:
    """Two number boxes for one open thing, in the unit that comes first."""

    id: str
    name: str
    counts: str
    low: str
    high: str


def asked_ranges(args: Any) -> list[str]:
    """The ranges of an address as ``PART=LOW to HIGH``, those of boxes in the unit that goes with them.

    Raises
    ------
    HandlingError
        One box of two was left empty, or the unit is neither kg nor lb.
    """
    texts = [text[:LONGEST] for text in args.getlist("assume")[:MOST]]
    unit = text_of(args, "boxes") or "kg"
    names = [key.removeprefix(LOW) for key in args if key.startswith(LOW)]
    for name in names[:MOST]:
        low, high = (text_of(args, word + name, 40) for word in (LOW, HIGH))
        if not low and not high:
            continue
        one_of("boxes", unit, UNITS)
        if not low or not high:
            raise HandlingError(f"{name}: write both figures, the lowest and the highest it can be")
        texts.append(f"{name}={low} {unit} to {high} {unit}")
    return texts


def boxes_for(ranges: Sequence[OpenRange], first: str) -> list[Boxes]:
    """The boxes of a page: what counts now in words, filled in only where somebody gave it."""
    unit = {"kg": KG, "lb": LB}[first]
    found = []
    for one in ranges:
        counts, low, high = "nothing bounds it", "", ""
        if one.low is not None and one.high is not None:
            ends = [figure_in(unit, kg, 1).removesuffix(".0") for kg in (one.low, one.high)]
            counts = f"now {span(one.low, one.high, first=first)}" if one.high else "none counted now"
            low, high = ends if one.given else ("", "")
        found.append(Boxes(one.id, one.name, counts, low, high))
    return found
