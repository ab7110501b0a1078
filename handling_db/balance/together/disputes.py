"""Single pieces whose own figures contradict one another, where that concerns nothing else.

Ten parts of one assembly, each with a weighing and a list that disagree, have a thousand consistent sets.
Where the rest of the body can live with the lightest figures of all of them at once, and with the heaviest of
all at once, it can live with any mixture: in a tree of sums a contradiction needs all low ends below and one
high end above, or the reverse. Then each such piece may be anything between its lightest and its heaviest
figure, and nothing is lost but a little width.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handling_db.balance.together.body import EvidenceBody, Member, Span, SumLimits
from handling_db.balance.together.consistent import possible

FEW = 3  # as many disputes are looked at in every combination


@dataclass(frozen=True, slots=True)
class SettledBody:
    """A body in which disputes that concern one piece each are set aside.

    Parameters
    ----------
    body : EvidenceBody
        With one member in place of the contradicting ones of each such piece.
    stands_for : tuple of tuple of int
        By member of that body, the places of the members of the first one that it stands for.
    """

    body: EvidenceBody
    stands_for: tuple[tuple[int, ...], ...]

    @property
    def set_aside(self) -> tuple[frozenset[int], ...]:
        """The figures of each dispute that was set aside, by their places in the first body."""
        return tuple(frozenset(places) for places in self.stands_for if len(places) > 1)


def settled(body: EvidenceBody) -> SettledBody:
    """Set disputes about single pieces aside, if there are more than a few and nothing else hangs on them."""
    plain = SettledBody(body, tuple((place,) for place in range(len(body.members))))
    disputes = _disputes(body)
    if len(disputes) <= FEW:
        return plain
    apart = {place for places in disputes.values() for place in places}
    others = [member for place, member in enumerate(body.members) if place not in apart]
    for which in (0, -1):  # all at their lightest figure, all at their heaviest
        ends = [_ends(body, places)[which] for places in disputes.values()]
        rows = [*body.ties, *(row for member in others for row in member.rows)]
        if not possible(body.domains, rows + [body.members[place].rows[0] for place in ends]):
            return plain
    members: list[Member] = []
    stands_for: list[tuple[int, ...]] = []
    for place, member in enumerate(body.members):
        if place not in apart:
            members.append(member)
            stands_for.append((place,))
    for places in disputes.values():
        first, last = _ends(body, places)
        spans = [body.members[place].rows[0] for place in places]
        lows = [row.low for row in spans if row.low is not None]
        highs = [row.high for row in spans if row.high is not None]
        row = SumLimits(spans[0].terms, min(lows) if len(lows) == len(spans) else None,
                  max(highs) if len(highs) == len(spans) else None)  # fmt: skip
        members.append(Member(f"{body.members[first].id} or {body.members[last].id}", (row,)))
        stands_for.append(tuple(places))
    return SettledBody(EvidenceBody(body.domains, body.ties, tuple(members)), tuple(stands_for))


def _disputes(body: EvidenceBody) -> Mapping[int, Sequence[int]]:
    """By unknown that is no whole, its figures where they cannot all be true."""
    wholes = {unknown for row in body.ties for unknown, count in row.terms if count < 0}
    by_unknown: dict[int, list[int]] = {}
    for place, member in enumerate(body.members):
        if len(member.rows) == 1 and len(member.rows[0].terms) == 1:
            unknown, _ = member.rows[0].terms[0]
            if unknown not in wholes:
                by_unknown.setdefault(unknown, []).append(place)
    return {
        unknown: places
        for unknown, places in by_unknown.items()
        if len(places) > 1 and _empty([_span(body.members[place].rows[0]) for place in places])
    }


def _span(row: SumLimits) -> Span:
    """What a row about one unknown allows it to be."""
    count = row.terms[0][1]
    ends = (None if row.low is None else row.low / count, None if row.high is None else row.high / count)
    return ends if count > 0 else (ends[1], ends[0])


def _empty(spans: Sequence[Span]) -> bool:
    lows = [low for low, _ in spans if low is not None]
    highs = [high for _, high in spans if high is not None]
    return bool(lows and highs) and max(lows) > min(highs)


def _ends(body: EvidenceBody, places: Sequence[int]) -> tuple[int, int]:
    """The places of the lightest and of the heaviest figure of one piece."""

    def middle(place: int) -> Fraction:
        low, high = _span(body.members[place].rows[0])
        return (low or Fraction(0)) + (high if high is not None else (low or Fraction(0)))

    ordered = sorted(places, key=middle)
    return ordered[0], ordered[-1]
