"""A body of evidence without the circles that come of weighing several pieces of a whole together.

Where a weighing counts ten parts of a whole and the whole counts them too, two sums share ten unknowns, and
that is a circle. With a name of its own for what the ten come to there is none: both speak of that one
amount. What can be true is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from handling_db.balance.together.body import EvidenceBody, Member, SumLimits, Terms, terms_of

Counts = dict[int, Fraction]


def shared_sums_named(body: EvidenceBody) -> EvidenceBody:
    """The same with a tie, behind the others, and an unknown for what two sums count in the same proportion.

    Parameters
    ----------
    body : EvidenceBody
    """
    counted: dict[Terms, Counts] = {row.terms: dict(row.terms) for row in body.rows() if len(row.terms) > 1}
    sums = list(counted.values())
    named = 0
    at = 0
    while at < len(sums):  # a new sum is looked at in its turn; each one made takes a circle away
        other, shared = _shared(sums, at)
        if not shared:
            at += 1
            continue
        name = len(body.domains) + named
        named += 1
        total = {unknown: sums[other][unknown] for unknown in shared}
        times = sums[at][shared[0]] / total[shared[0]]
        for one, count in ((sums[at], times), (sums[other], Fraction(1))):
            for unknown in shared:
                del one[unknown]
            one[name] = count
        sums.append(total | {name: Fraction(-1)})
    if not named:
        return body
    made = [SumLimits(terms_of(one), Fraction(0), Fraction(0)) for one in sums[len(counted) :]]

    def anew(row: SumLimits) -> SumLimits:
        return SumLimits(terms_of(counted.get(row.terms, dict(row.terms))), row.low, row.high)

    return EvidenceBody(
        (*body.domains, *((None, None) for _ in range(named))),
        (*map(anew, body.ties), *made),
        tuple(Member(member.id, tuple(map(anew, member.rows))) for member in body.members),
    )


def _shared(sums: Sequence[Counts], at: int) -> tuple[int, list[int]]:
    """Another sum, and two or more unknowns that one sum and it count in the same proportion; or none."""
    here = sums[at]
    for other, there in enumerate(sums):
        if other == at:
            continue
        by_ratio: dict[Fraction, list[int]] = {}
        for unknown, count in here.items():
            if unknown in there:
                by_ratio.setdefault(count / there[unknown], []).append(unknown)
        most = max(by_ratio.values(), key=len, default=[])
        if len(most) > 1:
            return other, most
    return 0, []
