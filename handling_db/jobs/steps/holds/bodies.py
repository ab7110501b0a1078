"""Which pieces form one body, and what carries it: a graph of pieces and of what holds them together."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from handling_db.jobs.steps.holds.holding import FarSidePull, Hold, pull_on
from handling_db.mechanics.vectors import Vector


@dataclass(frozen=True, slots=True)
class Bond:
    """One thing that holds two pieces together.

    Parameters
    ----------
    first, second : int
        Pieces.
    hold : Hold
        ``FAST``, ``FIT`` or ``STICKS``.
    lets_go : Vector or None
        Of a fit: which way the second leaves the first, in the frame of the unit.
    both_ways : bool
        A press fit.
    sure : bool
        False where nobody looked whether it is there.
    temporary : bool
    joint, tie, what : str
        Where it is recorded; empty for "held in its assembly".
    """

    first: int
    second: int
    hold: Hold = Hold.FAST
    lets_go: Vector | None = None
    both_ways: bool = False
    sure: bool = True
    temporary: bool = False
    joint: str = ""
    tie: str = ""
    what: str = ""

    @property
    def certain(self) -> bool:
        """Whether it can be counted on as far as it goes: there for sure, and no mere sticking."""
        return self.sure and self.hold is not Hold.STICKS

    @property
    def fast(self) -> bool:
        """Whether it holds whichever way the weight pulls."""
        return self.hold is not Hold.FIT or self.both_ways


Up = Callable[[int], Vector | None]


def clusters(pieces: Iterable[int], bonds: Iterable[Bond]) -> Mapping[int, int]:
    """Pieces that bonds join, whichever way these pull: by piece, the lowest piece of its cluster."""
    above = {piece: piece for piece in pieces}

    def top(piece: int) -> int:
        while above[piece] != piece:
            above[piece] = above[above[piece]]
            piece = above[piece]
        return piece

    for bond in bonds:
        if bond.first in above and bond.second in above:
            one, two = sorted((top(bond.first), top(bond.second)))
            above[two] = one
    return {piece: top(piece) for piece in above}


def carried(
    pieces: Collection[int],
    bonds: Sequence[Bond],
    supported: Iterable[int],
    up: Up,
    *,
    pressed_only: bool = False,
    hopeful: bool = False,
) -> frozenset[int]:
    """Pieces that hang from, or rest on, something that carries: from the supported ones along what holds.

    A fast bond hands on both ways. A fit hands on to the far side while the weight of that side does not pull
    the way the fit lets go.

    Parameters
    ----------
    pieces : collection of int
        Those that are there.
    bonds : sequence of Bond
        Those that count.
    supported : iterable of int
        Pieces that hook, stand or hands hold themselves.
    up : callable
        Up at a piece, in the frame of the unit.
    pressed_only : bool
        Count a fit only where the weight presses it together, not where it pulls across.
    hopeful : bool
        Count a fit, too, of which nobody recorded the way it lets go, or which way up it is.
    """
    there = set(pieces)
    near: dict[int, list[tuple[int, Bond]]] = {piece: [] for piece in there}
    for bond in bonds:
        if bond.first in there and bond.second in there:
            near[bond.first].append((bond.second, bond))
            near[bond.second].append((bond.first, bond))
    wanted = {FarSidePull.PRESSES} if pressed_only else {FarSidePull.PRESSES, FarSidePull.ACROSS}
    wanted |= {FarSidePull.NOT_KNOWN} if hopeful else set()
    waiting = [piece for piece in supported if piece in there]
    found = set(waiting)
    while waiting:
        piece = waiting.pop()
        for other, bond in near[piece]:
            if other in found or not _hands_on(bond, other, up, wanted):
                continue
            found.add(other)
            waiting.append(other)
    return frozenset(found)


def _hands_on(bond: Bond, far: int, up: Up, wanted: Collection[FarSidePull]) -> bool:
    return bond.fast or pull_on(bond.lets_go, up(far), second_hangs=far == bond.second) in wanted


def bodies(
    pieces: Collection[int], bonds: Sequence[Bond], supported: Collection[int], up: Up
) -> tuple[frozenset[int], ...]:
    """Pieces that are moved together: joined fast, or by a fit that holds what hangs or rests on it.

    Two sides that are each carried by themselves and still sit in each other's fit are one body until they
    are parted. The lowest piece of each body gives the order.
    """
    held = carried(pieces, bonds, supported, up, hopeful=True)
    joining = [
        bond for bond in bonds if bond.fast or (bond.first in held and bond.second in held)
    ]  # a fit between a carried side and one that fell holds nothing
    top = clusters(pieces, joining)
    found: dict[int, set[int]] = {}
    for piece, first in top.items():
        found.setdefault(first, set()).add(piece)
    return tuple(frozenset(found[first]) for first in sorted(found))


def certain_of(bonds: Iterable[Bond]) -> list[Bond]:
    """Bonds that can be counted on: somebody looked, and no mere sticking."""
    return [bond for bond in bonds if bond.certain]


def permanent_of(bonds: Iterable[Bond]) -> list[Bond]:
    """Bonds without the temporary ones."""
    return [bond for bond in bonds if not bond.temporary]


def between(bonds: Iterable[Bond], one: Collection[int], other: Collection[int]) -> list[Bond]:
    """Bonds with one end in each of two sets of pieces."""
    return [
        bond
        for bond in bonds
        if (bond.first in one and bond.second in other) or (bond.second in one and bond.first in other)
    ]
