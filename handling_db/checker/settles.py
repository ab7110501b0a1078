"""Answers without an upper figure, and wide ones: how many there are, and how many a weighing settles."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.checker.evidence import Evidence
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.records.parts.texts import STATES

WIDE = Fraction(1, 50)  # limits farther apart than this part of the plan are wide: a choice of this program


@dataclass(frozen=True, slots=True)
class Bounded:
    """How many answers of a collection have an upper figure.

    Parameters
    ----------
    pieces, answers : int
        Components in their default build, fluids aside, and these in each state.
    by_parts : int
        Answers without an upper figure by what is read for a piece or for its parts alone.
    by_evidence : int
        Those that are left with all the evidence.
    """

    pieces: int
    answers: int
    by_parts: int
    by_evidence: int

    @property
    def words(self) -> str:
        """One sentence."""
        return (
            f"{self.answers} answers about {self.pieces} pieces, dry, drained and filled: {self.by_parts} "
            f"have no upper figure by their own figures and parts, {self.by_evidence} with all the evidence"
        )


def bounded(evidence: Evidence) -> Bounded:
    """Count the answers of a collection that have an upper figure, before all the evidence and with it."""
    all_of_it = evidence_of(evidence.collection)
    pieces = _pieces(evidence, all_of_it)
    before = after = 0
    for state in STATES:
        totals = evidence.judge.totals(state)
        before += sum(not totals.of(node).known for node, _ in pieces.values())
        after += sum(all_of_it.at(known, state).plan is None for _, known in pieces.values())
    return Bounded(len(pieces), len(STATES) * len(pieces), before, after)


def _pieces(evidence: Evidence, all_of_it: AllEvidence) -> dict[str, tuple[int, int]]:
    """Each component in its default build: its node for the checker, and in all the evidence."""
    found = {}
    height = all_of_it.recorded.tree.height
    for code, component in sorted(evidence.collection.components.items()):
        node = evidence.node(code) if component.fluid is None else None
        if node is None or node not in evidence.tree.height:
            continue
        known = all_of_it.node(evidence.tree.nodes[node])
        if known is not None and known in height:
            found[code] = node, known
    return found


class Settling:
    """What weighing a part would settle: dry answers that are refused or wide because of it.

    Parameters
    ----------
    evidence : Evidence
    lifts : mapping of id to GroupMass
    """

    def __init__(self, evidence: Evidence, lifts: Mapping[str, GroupMass]) -> None:
        self._evidence = evidence
        self._lifts = lifts
        self._all = evidence_of(evidence.collection)
        self._pieces = _pieces(evidence, self._all)

    def settled(self, code: str, above: Iterable[str]) -> int:
        """How many answers about a part, what holds it and lifts hang on what it weighs.

        An answer is refused because of a part without a mass and an upper limit. One is wide because of it
        where the part's own width makes up at least half of the width.
        """
        if code not in self._pieces:
            return 0
        own = self._all.at(self._pieces[code][1], "dry")
        width = None if own.plan is None else own.plan - own.low
        found = 0
        for other in (code, *above):
            if other not in self._pieces:
                continue
            node, known = self._pieces[other]
            reach = self._all.at(known, "dry")
            many = Fraction(1)
            if other != code:
                many = self._evidence.pieces_below(node).get(self._pieces[code][0], Fraction(0))
            if reach.plan is None:
                found += bool(many) and width is None
            elif width is not None:
                found += _wide(reach.plan - reach.low, reach.plan, width * many)
        for lift in self._lifts.values():
            many = sum((c.pieces for c in lift.carried if c.id == code), start=Fraction(0))
            pieces = lift.pieces
            if not many:
                continue
            if pieces is None or pieces.high is None:
                found += width is None
            elif width is not None:
                high, low = Fraction(pieces.high), Fraction(pieces.low)
                found += _wide(high - low, high, width * many)
        return found


def _wide(width: Fraction, plan: Fraction, of_the_part: Fraction) -> bool:
    return width > plan * WIDE and 2 * of_the_part >= width
