"""What pieces of one assembly weigh together, where a weighed whole holds them closer than each alone."""

from __future__ import annotations

from fractions import Fraction

from handling_db.lifting.load.carried import Carried
from handling_db.lifting.load.walk import Walk
from handling_db.mechanics.sums import Together
from handling_db.weights.tree import Node

# A limit that takes less than this part of the pieces' own range away is not worth the while.
WORTH = Fraction(1, 1000)


def sums_of(walked: Walk) -> tuple[Together, ...]:
    """Limits of the pieces of each assembly together, by their places among what is carried.

    A light piece goes with a heavy rest where the assembly around both was weighed: what each leg carries at
    most follows from masses that can be true at once.

    Parameters
    ----------
    walked : Walk
        That went, without ranges that whoever asks gave for single pieces.

    Returns
    -------
    tuple of Together
        Of assemblies about which figures contradict one another, none: every choice counts there.
    """
    carried, ways = walked.carried, walked.ways
    if any(one.mass is None or not one.mass.complete for one in carried):
        return ()
    inside: dict[int, list[int]] = {}
    for place, one in enumerate(carried):
        around = one.index
        while around != 0:
            around = ways.found[around].parent
            inside.setdefault(around, []).append(place)
    by_pieces: dict[tuple[int, ...], None] = {}
    for places in inside.values():
        if sum(_width(carried[p]) > 0 for p in places) > 1:
            by_pieces[tuple(places)] = None
    found = [_limits(walked, places) for places in by_pieces]
    return tuple(one for one in found if one is not None)


def _width(one: Carried) -> Fraction:
    return Fraction(0) if one.mass is None else one.mass.high - one.mass.low


def _limits(walked: Walk, places: tuple[int, ...]) -> Together | None:
    """The limits of some pieces together, as far as they are narrower than each by itself."""
    evidence, tree = walked.evidence, walked.totals.tree
    counts: dict[Node, Fraction] = {}
    for place in places:
        one = walked.carried[place]
        node = tree.nodes[walked.ways.found[one.index].node]
        if evidence.node(node) is None:
            return None
        counts[node] = counts.get(node, Fraction(0)) + one.pieces
    if evidence.disputed(counts):
        return None
    low, high = evidence.several(counts)
    least = most = Fraction(0)
    for place in places:
        one = walked.carried[place]
        assert one.mass is not None
        which = tree.nodes[walked.ways.found[one.index].node]
        alone = evidence.several({which: one.pieces})
        # One that scatters, or that a waiting figure lifts, may be outside what the equations say of it.
        low = None if low is None or alone[0] is None else low - max(Fraction(0), alone[0] - one.mass.low)
        high = None if high is None or alone[1] is None else high + max(Fraction(0), one.mass.high - alone[1])
        least, most = least + one.mass.low, most + one.mass.high
    low = least if low is None else max(low, least)
    high = most if high is None else min(high, most)
    if low > high or most - least - (high - low) <= WORTH * (most - least):
        return None
    return Together(places, float(low), float(high))
