"""Places and centres of an odd size, and the centre that a weighing on two supports gives.

A slip of a thousand in one place moves the centre of the whole by metres, and nothing else contradicts it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.checker.evidence import At, Evidence
from handling_db.findings import Finding, Place, Verdict
from handling_db.records.collection import field_text
from handling_db.records.kinds.component import PartLine
from handling_db.records.parts.measures import Measure
from handling_db.weights.centre import between_supports, centres
from handling_db.weights.witness import Witness

RULE = "place-size"
BY_SUPPORTS = "centre-by-supports"
APART = Fraction(
    1, 20
)  # of the distance of the supports, beyond the readings' doubt: a choice of this program
AXES = ("x", "y", "z")
# Choices of this program: no honest piece lies so far from its datum, or so much further than all beside it.
FAR = 10.0  # m
TIMES = 20.0
BEYOND = 100.0  # m, whatever stands beside it


@dataclass(frozen=True, slots=True)
class Spot:
    """One place: how far it lies from the datum along its furthest axis, in metres and as written."""

    reach: float
    text: str
    path: tuple[str | int, ...]


def place_size(evidence: Evidence) -> Iterator[Finding]:
    """Places of parts, and centres, that lie far from all that is beside them."""
    reaches: dict[str, float] = {}  # how far anything beside or inside a component lies from a datum
    for code, component in sorted(evidence.collection.components.items()):
        spots = [spot for index, line in enumerate(component.parts) for spot in _spots(line, index)]
        furthest = max((spot.reach for spot in spots), default=0.0)
        for other in (code, *(line.component for line in component.parts)):
            reaches[other] = max(reaches.get(other, 0.0), furthest)
        for spot in odd_ones(spots):
            name = evidence.name(code)
            beside = max((other.reach for other in spots if other is not spot), default=0.0)
            yield size_finding(
                code, f"{name}: a part lies at", spot, beside, evidence.place("component", code, *spot.path)
            )
    for code, component in sorted(evidence.collection.components.items()):
        own = _spot(component.centre, ("centre",)) if component.centre is not None else None
        beside = reaches.get(code, 0.0)
        if own is not None and odd(own.reach, beside):
            at = evidence.place("component", code, "centre")
            yield size_finding(code, f"{evidence.name(code)}: its centre is at", own, beside, at)


def odd_ones(spots: Sequence[Spot]) -> list[Spot]:
    """The places that are far beyond all others; of several beyond any machine the furthest alone."""
    if not spots:
        return []
    order = sorted(spots, key=lambda spot: -spot.reach)
    first, beside = order[0], order[1].reach if len(order) > 1 else 0.0
    return [first] if odd(first.reach, beside) else []


def odd(reach: float, beside: float) -> bool:
    """Whether a place so far out is beyond any machine, or far beyond all that is beside it. [m]"""
    return reach > BEYOND or (reach > FAR and beside > 0 and reach >= TIMES * beside)


def size_finding(code: str, what: str, spot: Spot, beside: float, place: Place | None) -> Finding:
    """What there is to say of one place."""
    told = "" if beside <= 0 else f", and nothing beside it further than {beside:.3g} m from the datum"
    return At(place, field_text(spot.path), code).disagrees(
        RULE,
        f"{what} {spot.text}, {spot.reach:.4g} m from the datum{told}; so far out it moves the centre of the "
        "whole.",
        "Look at the unit: millimetres may be written as metres. Correct the place.",
    )


def _spots(line: PartLine, index: int) -> Iterator[Spot]:
    if line.at is not None:
        spot = _spot(line.at, ("parts", index, "at"))
        if spot is not None:
            yield spot
    for number, placement in enumerate(line.places or ()):
        spot = _spot(placement.at, ("parts", index, "places", number))
        if spot is not None:
            yield spot


def _spot(point: Sequence[Measure], path: tuple[str | int, ...]) -> Spot | None:
    """A place of plain figures; None where one of them is a formula."""
    known = [measure.base for measure in point]
    if any(base is None for base in known):
        return None
    reach = max(abs(float(base)) for base in known if base is not None)
    return Spot(reach, ", ".join(str(measure) for measure in point), path)


def centre_by_supports(evidence: Evidence) -> Iterator[Finding]:
    """Each weighing on two supports of a whole thing: where its centre lies, and where the records put it."""
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            weighing = evidence.collection.weighings.get(witness.id)
            supports = weighing.two_supports if weighing is not None else None
            parts = bool(evidence.collection.components[code].parts)
            if supports is None or (parts and not witness.is_whole):
                continue
            half = witness.mass.half_width_worst / 2  # of each reading, as far as the figure says
            first_at = supports.first_at.base or Fraction(0)
            low, high = (
                first_at
                + between_supports(
                    supports.first.base - more, supports.second.base + more, supports.apart.base
                )
                for more in (-half, half)
            )
            yield _compared(evidence, witness, supports.along, (low, high), supports.apart.base)


def _compared(
    evidence: Evidence, witness: Witness, axis: str, limits: tuple[Fraction, Fraction], apart: Fraction
) -> Finding:
    low, high = limits
    name = evidence.name(witness.component)
    span = f"{math.floor(low * 1000)} to {math.ceil(high * 1000)} mm"
    told = f"{name}: by its weighing on two supports its centre lies at {axis} {span}"
    recorded = _recorded(evidence, witness)
    if recorded is None:
        sentence, verdict = f"{told}; the records do not give one.", Verdict.REMARK
        remedy = "Write it under 'centre' once the other axes are known."
    else:
        at = Fraction(recorded[AXES.index(axis)])
        gap = max(low - at, at - high, Fraction(0))
        verdict = Verdict.DISAGREES if gap > APART * apart else Verdict.REMARK
        sentence = f"{told}, by the records at {_mm(at)} mm" + (f": {_mm(gap)} mm apart." if gap else ".")
        remedy = "Look at the places of the heaviest parts, and whether it stood level."
        if verdict is Verdict.REMARK:
            remedy = "Nothing contradicts here; it says no more than that."
    return evidence.where(witness).says(verdict, BY_SUPPORTS, sentence, remedy)


def _recorded(evidence: Evidence, witness: Witness) -> tuple[float, float, float] | None:
    """The centre by the records in the state it was weighed in, where all of it is known. [m]"""
    node = evidence.judge.node_of(witness)
    if node is None or node not in evidence.tree.height:
        return None
    found = centres(evidence.judge.totals(witness.state or "dry"), below=node)[node]
    whole = found.at is not None and not found.known_part_only and not found.no_place
    return found.at if whole else None


def _mm(metres: Fraction) -> str:
    return str(round(metres * 1000))
