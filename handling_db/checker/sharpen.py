"""Which comparisons say least although the two sides agree, and what to weigh so that they say more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from handling_db.checker.evidence import Evidence, Judged
from handling_db.findings import Verdict
from handling_db.quantities.display import pair
from handling_db.weights.totals import Basis


@dataclass(frozen=True, slots=True)
class Sharpened:
    """One comparison that agrees, and the doubt in it that is the largest of all.

    Parameters
    ----------
    judged : Judged
    hides : Fraction
        The largest error of one figure that may hide in it. [kg]
    component : str
        Whose figure has the largest half-width, all its pieces together: the one to weigh.
    half, of : Fraction
        That half-width, and those of both sides together. [kg]
    fluid : bool
        It is a fluid: to be measured, not weighed.
    """

    judged: Judged
    hides: Fraction
    component: str
    half: Fraction
    of: Fraction
    fluid: bool = False


def sharpened(evidence: Evidence, judged: Judged) -> Sharpened | None:
    """What would sharpen one comparison; None where the two do not agree, or no figure has any doubt.

    Sums are walked through for it; of a collection in which that would take long, not all are.
    """
    judgement = judged.judgement
    comparison, parts = judgement.comparison, judgement.parts
    if judgement.verdict is not Verdict.AGREES or comparison is None or parts is None:
        return None
    if not evidence.steps_left(judged.component):
        return None
    evidence.walked(judged.component, len(parts.shares) + evidence.tree.height.get(judged.node or 0, 0))
    halves: dict[str, Fraction] = {judged.component: judged.witness.mass.half_width_worst}
    fluids: set[str] = set()
    for share in parts.shares:
        mass = share.figure.several(share.pieces)
        if mass is not None:
            halves[share.component] = halves.get(share.component, Fraction(0)) + mass.half_width_worst
        if share.figure.basis is Basis.FLUID:
            fluids.add(share.component)
    component = max(halves, key=lambda code: (halves[code], code))
    if halves[component] == 0:
        return None
    together = judged.witness.mass.half_width_worst + parts.mass.half_width_worst
    return Sharpened(judged, comparison.hides, component, halves[component], together, component in fluids)


def weakest(evidence: Evidence) -> tuple[Sharpened, ...]:
    """Every comparison that agrees, the one in which the largest error may hide first."""
    found: Iterable[Sharpened | None] = (sharpened(evidence, one) for one in evidence.judged)
    return tuple(
        sorted(
            (one for one in found if one is not None),
            key=lambda one: (-one.hides, one.judged.component, one.judged.witness.id),
        )
    )


def sharpen_words(evidence: Evidence, one: Sharpened) -> str:
    """``weigh Oil pump: of the ±4.8 kg of both sides ±0.5 kg are its``."""
    name = evidence.name(one.component)
    do = f"measure the litres of {name}" if one.fluid else f"weigh {name}"
    if one.component == one.judged.component:
        finer = " on a finer scale" if one.judged.witness.source.instrument is not None else ""
        do = f"weigh {name} as a whole{finer}"
    if any(shared.what == "scale" for shared in one.judged.judgement.shared):
        do += ", on another scale than that of both sides"
    return f"{do}: of the ±{pair(one.of, one.of)} of both sides ±{pair(one.half, one.half)} are its"
