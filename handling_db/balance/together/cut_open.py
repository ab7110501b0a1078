"""A body with circles, cut open where an amount of fluid closes them.

Where a charge that is known between limits is in a filled whole and in a filled half of it, it closes a
circle. With the charge held at one amount nothing goes round: if the figures can be true then, they can. With
an amount of its own in each sum nothing goes round either: if they cannot be true even then, they cannot.
Only what lies between the two is left to sweeps and programs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from handling_db.balance.together.body import EvidenceBody, Member, Span, SumLimits, Terms, terms_of
from handling_db.balance.together.left_out import SumTree, without_circle

MOST_CUTS = 4
SHARES = (Fraction(0), Fraction(1, 2), Fraction(1))  # from the least of a charge to the most of it


class CutOpen:
    """Trees that answer for a body with circles, as far as they can.

    Parameters
    ----------
    body : EvidenceBody
    by : EvidenceBody
        What stands for it, as for `SumTree`.
    cuts : set of int
        Unknowns, known between limits, without which there is no circle.
    """

    def __init__(self, body: EvidenceBody, by: EvidenceBody, cuts: set[int]) -> None:
        self._loose = SumTree(body, _cut(by, cuts))
        self._held = [SumTree(body, _cut(_held(by, cuts, share), cuts)) for share in SHARES]

    def hold(self, members: Iterable[int], ties: Sequence[SumLimits]) -> bool:
        """Whether figures and ties can surely all be true; False where it cannot tell.

        Parameters
        ----------
        members : iterable of int
        ties : sequence of SumLimits
            Of the body.
        """
        for place, tree in enumerate(self._held):
            if tree.hold(members, ties):
                self._held.insert(0, self._held.pop(place))  # what answered answers next, most likely
                return True
        return False

    def smallest_conflict(
        self, members: Sequence[int], ties: Sequence[SumLimits], holds: Callable[[frozenset[int]], bool]
    ) -> frozenset[int]:
        """What is left of a conflict when figures are taken out, the last first, as long as it stays one.

        Parameters
        ----------
        members : sequence of int
            They cannot all be true together with the ties.
        ties : sequence of SumLimits
            Those of the body that have to do with it.
        holds : function
            Whether some of them can be true together, where no tree can tell.
        """
        kept = frozenset(members)
        for place in reversed(members):
            rest = kept - {place}
            if not rest or self.hold(rest, ties):
                continue
            if not self._loose.hold(rest, ties) or not holds(rest):
                kept = rest
        return kept


def cut_open(body: EvidenceBody, by: EvidenceBody) -> CutOpen | None:
    """A body with circles as trees; None where few cuts at amounts known between limits do not open it."""
    sums = {row.terms for row in by.rows() if len(row.terms) > 1}
    uses: dict[int, int] = {}
    for terms in sums:
        for unknown, _ in terms:
            low, high = by.domains[unknown]
            if low is not None and high is not None:
                uses[unknown] = uses.get(unknown, 0) + 1
    several = sorted((unknown for unknown, many in uses.items() if many > 1), key=lambda u: (-uses[u], u))
    cuts: set[int] = set()
    for unknown in several[:MOST_CUTS]:
        cuts.add(unknown)
        open_now = _cut(by, cuts)
        if without_circle(open_now.rows(), len(open_now.domains)):
            return CutOpen(body, by, cuts)
    return None


def _held(body: EvidenceBody, cuts: set[int], share: Fraction) -> EvidenceBody:
    """The body with each of some unknowns at one amount between its limits."""
    domains: list[Span] = list(body.domains)
    for unknown in cuts:
        low, high = domains[unknown]
        if low is not None and high is not None:
            domains[unknown] = (low + share * (high - low),) * 2
    return EvidenceBody(tuple(domains), body.ties, body.members)


def _cut(body: EvidenceBody, cuts: set[int]) -> EvidenceBody:
    """The body with an unknown of its own, with the same domain, for each of some in each sum."""
    domains = list(body.domains)
    made: dict[Terms, Terms] = {}

    def anew(row: SumLimits) -> SumLimits:
        if len(row.terms) < 2:
            return row
        if row.terms not in made:
            counts: dict[int, Fraction] = {}
            for unknown, count in row.terms:
                if unknown in cuts:
                    domains.append(domains[unknown])
                    counts[len(domains) - 1] = count
                else:
                    counts[unknown] = count
            made[row.terms] = terms_of(counts)
        return SumLimits(made[row.terms], row.low, row.high)

    ties = tuple(map(anew, body.ties))
    members = tuple(Member(member.id, tuple(map(anew, member.rows))) for member in body.members)
    return EvidenceBody(tuple(domains), ties, members)
