"""How a body stands on what it rests on, hook slack: both ways to tip, and the least that ties allow."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from handling_db.jobs.steps.holds.bodies import clusters
from handling_db.jobs.steps.holds.state import State, Support
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.weighing import Scales
from handling_db.lifting.extras import stated_amount
from handling_db.lifting.figures import SetDownFigure
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.set_down import on_face, stand_body
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.on_stand import StandBody
from handling_db.moving.standing import pallet_outline
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import Resting
from handling_db.records.kinds.pallet import Pallet

NOT_STANDING = ("hook", "hands", "machine", "not recorded")
MOST_APART = 10  # pieces that may each be there or not: 2 to that many ways are gone through


def rests_on(support: Support) -> bool:
    """Whether a support is something that a body stands on."""
    return support.kind not in NOT_STANDING


def standing(collection: Collection, mass: GroupMass, support: Support) -> SetDownFigure:
    """One body on the face that is down, and on the stand or pallet below it; the lesser is shown."""
    rests = support.rests
    assert rests is not None  # only what rests somewhere stands
    on = place_words(collection, rests)
    if rests.face is None:
        why = Notice("which face not recorded")
        return SetDownFigure(on, "nobody looked", "nobody looked", None, None, (), (), not_known=why)
    return on_face(collection, mass, rests.face, on=on, body=_below(collection, rests))


def _below(collection: Collection, rests: Resting) -> StandBody | None:
    fixture = collection.fixtures.get(rests.fixture or "")
    at = (0.0, 0.0)
    if rests.piece_at is not None:
        at = (float(rests.piece_at[0].base), float(rests.piece_at[1].base))
    if fixture is not None and fixture.kind != "cribbing":
        return stand_body(fixture, at)
    pallet = collection.pallets.get(rests.pallet or "")
    return None if pallet is None else _pallet_body(pallet, at)


def _pallet_body(pallet: Pallet, at: tuple[float, float]) -> StandBody:
    """A pallet with the piece on it as one body on the floor, its own centre halfway up its deck."""
    deck = float(pallet.deck_height.base) if pallet.deck_height is not None else None
    amount = stated_amount(pallet.own_mass, pallet.plus_or_minus)
    own = None
    if amount is not None and deck is not None:
        own = Weighted(pallet.name, amount, (0.0, 0.0, deck / 2))
    return StandBody(pallet.name, pallet_outline(pallet) or (), deck, own, (), at)


def place_words(collection: Collection, rests: Resting) -> str:
    """What a piece rests on, in words: the recorded thing, else the kind of place."""
    for kind in ("fixture", "pallet", "mover"):
        name = getattr(rests, kind)
        if name is not None:
            record = collection.of_kind(kind).get(name)
            return str(record.name) if record is not None else str(name)
    return rests.what or rests.on


def tips_deg(figure: SetDownFigure | None) -> float | None:
    """The tilt at which it goes over; 0 where it does not stand; None where nothing can be said. [deg]"""
    if figure is None:
        return None
    if figure.outside_m is not None:
        return 0.0
    return figure.weakest.tips_at if figure.weakest is not None else None


def least(found: Iterator[SetDownFigure]) -> SetDownFigure | None:
    """The figure that tips first; one that does not stand at all before the others."""
    known = [(degrees, n, f) for n, f in enumerate(found) if (degrees := tips_deg(f)) is not None]
    return min(
        known, key=lambda entry: (entry[0], -(entry[2].outside_m or 0.0), entry[1]), default=(0, 0, None)
    )[2]


def rests_of_ties(unit: Unit, state: State, body: frozenset[int], down: int) -> list[frozenset[int]] | None:
    """What of a body may be left on its stand, ties that nobody looked at holding or not.

    Parameters
    ----------
    unit, state
    body : frozenset of pieces
    down : int
        The piece that stands: it is always there.

    Returns
    -------
    list of frozenset of pieces or None
        Every set of pieces that may be left, the whole first; None where there are too many to go through.
    """
    certain = [b for b in state.bonds(unit) if b.certain and b.first in body and b.second in body]
    # A fit counts as its weight presses or lets it go, a bond that nobody looked at as none.
    sure = state.held(unit, count="certain")
    joined = clusters(body, [b for b in certain if b.fast or (b.first in sure and b.second in sure)])
    loose = sorted({top for piece, top in joined.items() if piece in unit.leaves and top != joined[down]})
    if not loose:
        return [body]
    if len(loose) > MOST_APART:
        return None
    maybe = [b for b in state.bonds(unit) if b.first in body and b.second in body]
    found = [body]
    for many in range(len(loose)):
        for kept in combinations(loose, many):
            tops = {joined[down], *kept}
            left = frozenset(piece for piece in body if joined[piece] in tops)
            # What stays has to hang together with what stands, by ties that may hold.
            together = clusters(left, [b for b in maybe if b.first in left and b.second in left])
            if all(together[piece] == together[down] for piece in left & unit.leaves):
                found.append(left)
    return found


def perhaps_standing(
    collection: Collection, scales: Scales, state: State, body: frozenset[int], support: Support
) -> tuple[SetDownFigure | None, bool]:
    """The least that ties which nobody looked at allow, and whether every combination was gone through."""
    unit = scales.unit
    ways = rests_of_ties(unit, state, body, support.piece)
    if ways is None:
        return None, False
    if len(ways) == 1:
        return None, True
    there = state.pieces(unit)
    figures = (
        standing(collection, scales.weigh(left, state.oil, there, state.some).mass, support) for left in ways
    )
    return least(figures), True
