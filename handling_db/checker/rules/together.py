"""Figures that cannot all be true once all states and all sums are looked at together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handling_db.balance.together.reach import evidence_of
from handling_db.checker.evidence import Evidence
from handling_db.findings import Finding, Verdict
from handling_db.weights.witness import Witness

MOST = 4  # figures named in a sentence; the others are counted
HEAVIER = ("dry", "drained", "filled")  # each state holds no less than the one before


def figures_together(evidence: Evidence) -> Iterator[Finding]:
    """A conflict that neither two figures of one question nor one whole against its parts show already."""
    for conflict in evidence_of(evidence.collection).disputes:
        if _told_already(evidence, conflict):
            continue
        first = max(conflict, key=lambda w: (_height(evidence, w), w.mass.high, w.id))
        yield evidence.where(first).disagrees(
            "figures-together",
            _sentence(evidence, conflict),
            "One of them is wrong, or a part or a litre is not listed: weigh again, or replace the wrong "
            "one. Until then every set of them that can be true is planned for.",
            tuple((_named(evidence, w), w.mass.low, w.mass.high) for w in conflict[:MOST]),
        )


def _told_already(evidence: Evidence, conflict: Sequence[Witness]) -> bool:
    if len({w.component for w in conflict}) == 1 and len({w.state for w in conflict}) == 1:
        return True
    wholes = [w for w in conflict if evidence.collection.components[w.component].parts]
    judged = [evidence.judge.judge(w) for w in wholes]
    return any(one is not None and one.verdict is Verdict.DISAGREES for one in judged)


def _height(evidence: Evidence, witness: Witness) -> int:
    node = evidence.node(witness.component)
    return evidence.tree.height.get(node, 0) if node is not None else 0


def _named(evidence: Evidence, witness: Witness) -> str:
    state = f" {witness.state}" if witness.state else ""
    return f"{evidence.name(witness.component)} {witness.printed}{state}"


def _sentence(evidence: Evidence, conflict: Sequence[Witness]) -> str:
    if len(conflict) == 2 and conflict[0].component == conflict[1].component:
        light, heavy = sorted(conflict, key=lambda w: w.mass.best)
        states = [HEAVIER.index(w.state) if w.state in HEAVIER else -1 for w in (light, heavy)]
        if states[0] > states[1] >= 0:
            return (
                f"{evidence.name(light.component)}: {light.printed} {light.state} ({light.source.name}) is "
                f"lighter than {heavy.printed} {heavy.state} ({heavy.source.name}) allows: {light.state} "
                "holds more fluid."
            )
    shown = [f"{_named(evidence, w)} ({w.source.name})" for w in conflict[:MOST]]
    more = len(conflict) - len(shown)
    rest = f" and {more} more" if more > 0 else ""
    return f"These cannot all be true: {'; '.join(shown)}{rest}."
