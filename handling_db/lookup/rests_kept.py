"""What a figure rests on, as one text in the database and back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handling_db.weights.answer import NOTHING_MORE, Named, Narrowed, Rests, WayToFigure
from handling_db.weights.verdict import Shared

FEW = 8  # up to so many contradictions stand as they are told


def rests_text(rests: Rests) -> str | None:
    """JSON of what differs from a plain figure; None where nothing does. Masses in kilograms."""
    import json  # a look-up of plain figures starts without
    from dataclasses import asdict, fields, replace

    told = [one.name for one in fields(rests) if getattr(rests, one.name) != getattr(NOTHING_MORE, one.name)]
    if not told:
        return None
    given = asdict(replace(rests, disputes=())) | {"disputes": rests.disputes}  # many texts, not to be copied
    found = {name: given[name] for name in told}
    if len(rests.disputes) > FEW:
        found["disputes"] = _by_number(rests.disputes)
    return json.dumps(found, default=_number, ensure_ascii=False, sort_keys=True)


def rests_from(text: str | None) -> Rests:
    """The same back."""
    if not text:
        return NOTHING_MORE
    import json

    found: dict[str, Any] = json.loads(text)
    if "left" in found:
        part, low, high = found["left"]
        found["left"] = Named(**part), low, high
    if "disputes" in found:
        found["disputes"] = _disputes(found["disputes"])
    if "charges" in found:
        found["charges"] = tuple(found["charges"])
    if "routes" in found:
        found["routes"] = tuple(WayToFigure(**one) for one in found["routes"])
    if "narrowed" in found:
        found["narrowed"] = tuple(Narrowed(**one | {"by": tuple(one["by"])}) for one in found["narrowed"])
    return Rests(**found)


def _by_number(disputes: Sequence[Sequence[str]]) -> dict[str, Any]:
    """Many contradictions of the same figures: each figure once, then which of them each is of.

    One gross slip may bring a hundred contradictions of forty figures each, told at every piece of the unit.
    """
    figures = dict.fromkeys(figure for one in disputes for figure in one)
    number = {figure: place for place, figure in enumerate(figures)}
    return {"figures": [*figures], "each": [[number[figure] for figure in one] for one in disputes]}


def _disputes(kept: Any) -> tuple[tuple[str, ...], ...]:
    if isinstance(kept, dict):
        return tuple(tuple(kept["figures"][place] for place in one) for one in kept["each"])
    return tuple(tuple(one) for one in kept)


def shared_from(text: str | None) -> tuple[Shared, ...]:
    """What both sides of a comparison rest on, out of what `handling_db.lookup.as_json.shared_text` wrote."""
    if not text:
        return ()
    import json

    return tuple(Shared(**one) for one in json.loads(text))


def _number(value: object) -> float:
    from fractions import Fraction

    if isinstance(value, Fraction):
        return float(value)
    raise TypeError(f"{value!r} has no place in a database")
