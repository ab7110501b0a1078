"""What is left of a rating where the load is hot: by the published factors for its kind, else no rating.

Where nobody recorded a temperature the caution at the rating says what heat does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handling_db.quantities.notice import Facts, Notice
from handling_db.records.kinds.gear import Gear
from handling_db.records.parts.temperature import Temperature
from handling_db.rigging.factors import Factors, HeatRule
from handling_db.rigging.links import Rated

# Below it no rule that was read takes anything off; web and round slings are not used above it (EN 1492-1 and
# -2: polyester and polyamide up to 100 °C, polypropylene up to 80 °C; from memory). [°C]
WARM = 100.0
PLASTIC = 80.0
COLD = 0.0
WEB = ("web sling", "round sling")
# By the grade that is written on the chain; of two rules for one grade the stricter counts.
BY_GRADE = {
    "8": ("alloy-chain-80", "chain-en-818-4-grade-8"),
    "80": ("alloy-chain-80", "chain-en-818-4-grade-8"),
    "10": ("alloy-chain-100",),
    "100": ("alloy-chain-100",),
}


def heated(temperature: Temperature | None, factors: Factors | None, gear: Gear, rated: Rated) -> Rated:
    """A rating with what the recorded temperature of the load takes off it.

    Parameters
    ----------
    temperature : Temperature or None
        Of the hottest surface that gear touches; None where nobody recorded it: nothing is taken off.
    factors : Factors, optional
    gear : Gear
    rated : Rated
        Cold.
    """
    if temperature is None or rated.rating_kg is None:
        return rated
    degrees = float(temperature.celsius)
    if gear.kind in WEB:
        if degrees <= PLASTIC:
            return rated
        why = Notice("too hot for its kind", {"temperature": str(temperature)})
        basis = Notice("too hot for its kind, by", {"why": why})
        return replace(rated, why_not=why, rating_kg=None, basis=basis)
    rules = _rules(factors, gear)
    if not rules:
        if COLD <= degrees <= WARM:
            return rated
        why = Notice("no factor for the heat", {"temperature": str(temperature)})
        return replace(rated, rating_kg=None, basis=why)
    scales = {"C": degrees, "F": float(temperature.fahrenheit)}
    parts = [(rule.factor(scales[rule.unit]), rule) for rule in rules]
    refused = [rule for part, rule in parts if part is None]
    if refused:
        why = Notice("not used so hot", {"temperature": str(temperature), "by": _by(refused[0])})
        return replace(rated, rating_kg=None, basis=why)
    part, rule = min(((part, rule) for part, rule in parts if part is not None), key=lambda one: one[0])
    if part >= 1.0:
        return rated
    less: Facts = {"part": f"{part * 100:g}", "temperature": str(temperature), "by": _by(rule)}
    return replace(
        rated,
        rating_kg=rated.rating_kg * part,
        basis=Notice("less in the heat", {"basis": rated.basis, **less}),
        cautions=(*rated.cautions, Notice("chain that was hot")),
    )


def _rules(factors: Factors | None, gear: Gear) -> Sequence[HeatRule]:
    if factors is None or gear.kind != "chain sling" or gear.grade is None:
        return ()
    grade = "".join(sign for sign in gear.grade if sign.isdigit())
    return [factors.heat(rule) for rule in BY_GRADE.get(grade, ())]


def _by(rule: HeatRule) -> str:
    return f"{rule.name}, {rule.source} [{rule.verified}]"
