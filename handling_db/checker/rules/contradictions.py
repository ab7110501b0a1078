"""Two figures for one thing that cannot both be true, and serial ranges that contradict each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.choices import decision_on
from handling_db.findings import Finding
from handling_db.quantities.display import planning_text, span
from handling_db.quantities.table import KG, LB
from handling_db.weights.witness import Witness

MOST = 60  # of the lightest and of the heaviest figures of one component, so many are compared
SLIP = LB.factor / KG.factor


def statements_apart(evidence: Evidence) -> Iterator[Finding]:
    """Two usable figures of one component, same state and build, whose intervals do not touch."""
    for light, heavy in _apart(evidence):
        gap = (heavy.mass.low - light.mass.high, heavy.mass.high - light.mass.low)
        doubt = "" if _same_boundary(light, heavy) else " What they count is not stated for both."
        yield evidence.where(light).disagrees(
            "statements-apart",
            f"{evidence.name(light.component)}: {light.printed} ({light.source.name}) and {heavy.printed} "
            f"({heavy.source.name}) lie apart by {span(*gap)}.{doubt}",
            f"Weigh it again, or replace the wrong one. {_until_then(evidence, light, heavy)}",
            (
                ("lighter", light.mass.low, light.mass.high),
                ("heavier", heavy.mass.low, heavy.mass.high),
            ),
            gap,
        )


def _until_then(evidence: Evidence, light: Witness, heavy: Witness) -> str:
    decision, chosen = decision_on(evidence, heavy)
    return decision if chosen else f"{decision} {_larger(light, heavy)}".lstrip()


def _larger(light: Witness, heavy: Witness) -> str:
    if heavy.hint and not light.hint:
        return f"What comes {heavy.kind.name} is a hint beside the other, but look why it is heavier."
    return f"Until then plan with {planning_text(heavy.mass.high)}."


def unit_slip(evidence: Evidence) -> Iterator[Finding]:
    """Two figures of one component a factor of 2.2046 apart: kilograms and pounds may be mixed up."""
    for light, heavy in _apart(evidence):
        if heavy.mass.low * SLIP <= light.mass.high and heavy.mass.high * SLIP >= light.mass.low:
            yield evidence.where(light).remark(
                "likely-unit-slip",
                f"{evidence.name(light.component)}: {heavy.printed} ({heavy.source.name}) is about 2.2046 "
                f"times {light.printed} ({light.source.name}): in one of the two, pounds may stand for "
                "kilograms.",
                "Look at both sources again; nothing is changed.",
            )


def serials_overlap(evidence: Evidence) -> Iterator[Finding]:
    """One source with different figures for serial ranges that overlap."""
    for code in evidence.with_figures:
        ranged = [w for w in evidence.witnesses(code) if w.serials is not None and w.position is not None]
        for i, one in enumerate(ranged[:MOST]):
            for other in ranged[i + 1 : MOST]:
                if one.source.id == other.source.id and _same_question(one, other) and _overlap(one, other):
                    yield _overlapping(evidence, one, other)


def _overlapping(evidence: Evidence, one: Witness, other: Witness) -> Finding:
    ranges = [w.serials.in_words() for w in (one, other) if w.serials]
    return evidence.where(other, "serials").disagrees(
        "serials-overlap",
        f"{one.source.name} has {one.printed} for serials {ranges[0]} and {other.printed} for serials "
        f"{ranges[1]}: some serials have two figures.",
        "Correct the ranges so that each serial has one figure.",
        (("one", one.mass.low, one.mass.high), ("other", other.mass.low, other.mass.high)),
        about=one.component,
    )


def _overlap(one: Witness, other: Witness) -> bool:
    if one.serials is None or other.serials is None or one.mass.best == other.mass.best:
        return False
    return one.serials.overlaps(other.serials)


def _same_question(one: Witness, other: Witness) -> bool:
    return (one.state, one.build, one.packed, one.counts, one.without) == (
        other.state,
        other.build,
        other.packed,
        other.counts,
        other.without,
    )


def _apart(evidence: Evidence) -> Iterator[tuple[Witness, Witness]]:
    """Of each component, state and build, the lighter and the heavier of the two furthest apart."""
    for code in evidence.with_figures:
        found = [w for w in evidence.witnesses(code) if w.chosen and not w.packed]
        if len(found) < 2:
            continue
        groups: dict[object, list[Witness]] = {}
        for witness in found:
            groups.setdefault(_question(evidence, code, witness), []).append(witness)
        for group in groups.values():
            pair = _furthest(group)
            if pair:
                yield pair


def _question(evidence: Evidence, code: str, witness: Witness) -> object:
    """What a figure answers: its state, where fluid makes one, and its build."""
    node = evidence.judge.node_of(witness)
    if node is None:
        return (None, witness.build)
    parts = bool(evidence.collection.components[code].parts)
    if evidence.judge.totals("dry").has_fluid[node]:
        return (node, witness.state)
    return (node, (witness.state or "dry") if parts else None)


def _furthest(group: Sequence[Witness]) -> tuple[Witness, Witness] | None:
    lightest = sorted(group, key=lambda w: (w.mass.high, w.id))[:MOST]
    heaviest = sorted(group, key=lambda w: (-w.mass.low, w.id))[:MOST]
    worst: tuple[Fraction, Witness, Witness] | None = None
    for light in lightest:
        for heavy in heaviest:
            gap = heavy.mass.low - light.mass.high
            if gap > 0 and (worst is None or gap > worst[0]) and _comparable(light, heavy):
                worst = (gap, light, heavy)
    return worst[1:] if worst else None


def _comparable(one: Witness, other: Witness) -> bool:
    """Whether two figures can be about the same thing: boundary and serials do not keep them apart."""
    if not _same_boundary(one, other):
        if one.boundary_known and other.boundary_known:
            return False
        if _of_a_part(one) or _of_a_part(other):
            return False  # what is left out on one side the other may well count
    return one.serials is None or other.serials is None or one.serials.overlaps(other.serials)


def _same_boundary(one: Witness, other: Witness) -> bool:
    """Whether both count the same; a single part that says nothing counts as itself."""
    return (one.counts, one.without) == (other.counts, other.without)


def _of_a_part(one: Witness) -> bool:
    """Whether a figure counts some of the parts only."""
    return isinstance(one.counts, tuple) or isinstance(one.without, tuple)
