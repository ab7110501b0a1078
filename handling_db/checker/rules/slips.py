"""Slips that would explain a disagreement: a unit, a count, a part heavier than what it is in.

Every single explanation that fits is named, and none is applied.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from handling_db.checker.evidence import Evidence, Judged, listed
from handling_db.findings import Finding, Verdict
from handling_db.quantities.display import span
from handling_db.quantities.mass import NOTHING, Mass
from handling_db.quantities.table import KG, LB, MeasureUnit
from handling_db.weights.witness import Witness, readings_of

MOST_PIECES = 100  # a count is not taken for a slip of more than so many pieces


@dataclass(frozen=True, slots=True)
class _Case:
    """A sum and a whole that lie apart."""

    one: Judged
    parts: Mass
    whole: Mass

    def closes(self, less: Mass, more: Mass) -> bool:
        """Whether the intervals touch once a share is taken out of the sum and another put in."""
        low = self.parts.low - less.low + more.low
        high = self.parts.high - less.high + more.high
        return low <= self.whole.high and (high >= self.whole.low or not self.parts.complete)


def _cases(evidence: Evidence) -> Iterator[_Case]:
    for one in evidence.judged:
        if one.judgement.verdict is Verdict.DISAGREES and one.judgement.parts is not None:
            yield _Case(one, one.judgement.parts.mass, one.witness.mass)


def unit_slip(evidence: Evidence) -> Iterator[Finding]:
    """Figures that, read in the other unit of mass, would bring the parts and the whole together."""
    for case in _cases(evidence):
        fits = [*_units_that_fit(evidence, case)]
        if not fits:
            continue
        whole = case.one.witness
        told = [
            f"{evidence.name(w.component)} {w.printed} ({'kg for lb' if factor < 1 else 'lb for kg'})"
            for w, factor in fits
        ]
        number = "one unit" if len(fits) == 1 else f"{len(fits)} units, each by itself,"
        yield evidence.where(fits[0][0] if len(fits) == 1 else whole).remark(
            "likely-unit-slip",
            f"{evidence.name(case.one.component)}: {number} the other way round would bring its parts and "
            f"{whole.printed} ({whole.source.name}) together: {listed(told, shown=5, last='or')}. "
            "That it fits is no proof.",
            "Look at the sources again; nothing is changed.",
            about=case.one.component,
        )


def _units_that_fit(evidence: Evidence, case: _Case) -> Iterator[tuple[Witness, Fraction]]:
    """Figures whose unit alone explains the gap, each with the factor to the other unit."""
    for share in case.one.judgement.parts.shares if case.one.judgement.parts else ():
        witness = share.figure.witness
        factor = _other_unit(evidence, witness) if witness else None
        if witness is None or factor is None or share.figure.mass is None:
            continue
        mass = share.figure.mass.times(share.pieces)
        if case.closes(mass, mass.times(factor)):
            yield witness, factor
    factor = _other_unit(evidence, case.one.witness)
    if factor is not None and _Case(case.one, case.parts, case.whole.times(factor)).closes(NOTHING, NOTHING):
        yield case.one.witness, factor


def _other_unit(evidence: Evidence, witness: Witness) -> Fraction | None:
    """What a figure is to be multiplied by if its unit was the other one; None if both were printed."""
    if witness.columns is not None:
        return None
    unit: MeasureUnit
    if witness.position is None:
        unit = readings_of(evidence.collection.weighings[witness.id])[0][0].unit
    else:
        printed = evidence.collection.components[witness.component].masses[witness.position[1]].printed
        if printed is None:
            return None
        unit = printed.unit
    if unit == KG:
        return LB.factor / KG.factor
    return KG.factor / LB.factor if unit == LB else None


def quantity_slip(evidence: Evidence) -> Iterator[Finding]:
    """Counts of single lines that, otherwise, would bring the parts and the whole together."""
    for case in _cases(evidence):
        fits = sorted(_counts_that_fit(evidence, case))
        if not fits:
            continue
        witness = case.one.witness
        told = [f"{name} {now} instead of {as_listed}" for _, name, now, as_listed in fits]
        number = "one count" if len(fits) == 1 else f"{len(fits)} counts, each by itself,"
        yield evidence.where(witness).remark(
            "likely-quantity-slip",
            f"{evidence.name(case.one.component)}: {number} would bring its parts and {witness.printed} "
            f"({witness.source.name}) together: {listed(told, shown=5, last='or')}. "
            "That it fits is no proof.",
            "Count these parts on the unit; nothing is changed.",
            about=case.one.component,
        )


def _counts_that_fit(evidence: Evidence, case: _Case) -> Iterator[tuple[str, str, str, str]]:
    """Parent's id, part's name, the count that fits and the count that is listed."""
    if case.one.node is None or case.one.judgement.parts is None:
        return
    opened = {share.node for share in case.one.judgement.parts.shares}
    figures = evidence.judge.totals(case.one.judgement.state).figures
    for parent, pieces in evidence.pieces_below(case.one.node).items():
        for use in evidence.tree.uses[parent]:
            mass = figures[use.child].mass
            if use.child not in opened or mass is None or mass.best <= 0 or use.quantity.denominator != 1:
                continue
            each = mass.times(pieces)
            now = _whole_number(case, each, use.quantity)
            if now is not None:
                name = evidence.name(evidence.tree.component(use.child))
                yield evidence.tree.component(parent), name, str(now), str(use.quantity)


def _whole_number(case: _Case, each: Mass, quantity: Fraction) -> int | None:
    """The count nearest to the one listed that closes the gap, one at least."""
    wanted = (case.whole.best - case.parts.best) / each.best
    around = round(wanted)
    for change in sorted((around - 1, around, around + 1), key=abs):
        now = quantity + change
        if change == 0 or not 1 <= now <= MOST_PIECES or abs(change) > MOST_PIECES:
            continue
        if case.closes(each.times(quantity), each.times(now)):
            return int(now)
    return None


def heavier_than_whole(evidence: Evidence) -> Iterator[Finding]:
    """A single line of parts that is heavier than the figure stated for all of it."""
    for one in evidence.judged:
        judgement, whole = one.judgement, one.witness.mass
        if one.node is None or judgement.comparison is None:
            continue
        figures = evidence.judge.totals(judgement.state).figures
        for use in evidence.tree.uses[one.node]:
            child = evidence.tree.component(use.child)
            mass = figures[use.child].mass
            if mass is None or not _counted(one.witness, child) or mass.low * use.quantity <= whole.high:
                continue
            line = mass.times(use.quantity)
            yield evidence.at("component", one.component, "parts", use.index).disagrees(
                "part-heavier-than-whole",
                f"{evidence.name(child)} alone, quantity {use.line.quantity}, comes to "
                f"{span(line.low, line.high)}, more than {one.witness.printed} "
                f"({one.witness.source.name}) for all of {evidence.name(one.component)}.",
                "Look at both figures, their units and the quantity.",
                (("part", line.low, line.high), ("stated", whole.low, whole.high)),
                (line.low - whole.high, line.high - whole.low),
            )


def _counted(witness: Witness, child: str) -> bool:
    """Whether a figure counts a line as a whole, as far as its boundary says."""
    if isinstance(witness.without, tuple):
        return False  # what is left out may be inside the line; the sum says whether it disagrees
    return not isinstance(witness.counts, tuple) or child in witness.counts
