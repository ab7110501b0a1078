"""Several pieces onto the fewest pallets or trips, within limits of mass, area, places and balance.

The smallest number is found by an exact solver (mixed-integer programming, HiGHS by way of scipy, imported
only here) and is called proved only when the solver, or plain counting, says that no smaller number can do.
Without the solver a first-fit search gives an arrangement that keeps the limits, and says that it is not
proved smallest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from handling_db.carrying.checks import PERSON_DECIDES, MovingInputError, given, optional, plain

MOST_YES_NO = 6000  # more yes-or-no variables than this go to the first-fit search
MOST_TRIES = 20000  # ways of placing the pieces of one pallet that the first-fit search looks at
TIGHTER = 1.0 - 2e-6  # the solver keeps limits to about one part in a million: room for that


class PackingError(MovingInputError):
    """The pieces cannot be arranged within the limits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceToMove:
    """One piece to be moved."""

    name: str
    mass_kg: float | None  # heaviest believable, with its oil and packing; None: not known
    area: float | None = None  # footprint [m2]; None: not known
    places: int = 1  # how many places it takes up; more than one only without positions


@dataclass(frozen=True, slots=True, kw_only=True)
class TripLimits:
    """What one pallet or trip takes. Pallets are all alike."""

    mass_kg: float
    area: float | None = None  # [m2]; None: no limit by area
    places: int | None = None  # None: no limit by places
    positions: tuple[tuple[float, float], ...] | None = None  # one per place, from the middle [m]
    offset: tuple[float, float] | None = None  # farthest centre of gravity along x and y [m]; needs positions


@dataclass(frozen=True, slots=True, kw_only=True)
class PalletLoad:
    """What goes on one pallet or trip."""

    pieces: tuple[str, ...]
    positions: tuple[int, ...] | None  # place of each piece, 1 is the first; None: no positions given
    mass_kg: float
    area: float | None
    centre: tuple[float, float] | None  # from the middle, of the pieces at these masses [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """An arrangement, whether its number is proved smallest, and what could not be placed."""

    loads: tuple[PalletLoad, ...]
    proved_smallest: bool
    at_least: int  # no arrangement of the placed pieces can do with fewer
    method: str
    not_placed: tuple[tuple[str, str], ...]  # name and reason
    cautions: tuple[str, ...]

    @property
    def number(self) -> int:
        """How many pallets or trips the placed pieces take."""
        return len(self.loads)


def fewest_pallets(
    pieces: Sequence[PieceToMove], limits: TripLimits, *, exact: bool = True, seconds: float = 10.0
) -> Arrangement:
    """Arrange pieces on the fewest pallets or trips.

    Parameters
    ----------
    pieces : sequence of PieceToMove
        Names have to differ. A piece with no mass (or no area, where area is limited) is not placed and is
        listed with the reason; so is one that is over a limit by itself.
    limits : TripLimits
        Of one pallet or trip. [kg], [m2], [m]
    exact : bool
        Use the exact solver where it is installed.
    seconds : float
        Longest time for the solver; when it runs out the best arrangement found is given, not proved. [s]

    Returns
    -------
    Arrangement
        Loads, number, whether proved smallest, what was not placed, cautions.

    Raises
    ------
    PackingError
        The solver proves that no arrangement keeps the limits.
    MovingInputError
        Two pieces have one name, a figure cannot be one, or an offset limit comes without positions.
    """
    _check(pieces, limits, seconds)
    fit, not_placed = _sort_out(pieces, limits)
    cautions: list[str] = []
    loads, left_over = _first_fit(fit, limits)
    bound = _counted_bound(fit, limits)
    method = "first fit"
    proved = not left_over and len(loads) <= bound
    if fit and exact and not proved:
        upper = len(fit) if left_over else len(loads)
        found = _solve(fit, limits, upper, seconds)
        if found is None:
            cautions.append(
                "The exact solver was not used: scipy is not installed, or there is too "
                "much to try. The number is not proved smallest."
            )
        elif not found[0]:
            cautions.append("The exact solver gave no answer in its time: not proved smallest.")
            bound = max(bound, found[1])
        else:
            solved, solver_bound, done = found
            bound = max(bound, solver_bound)
            if left_over or len(solved) <= len(loads):
                loads, left_over, method = solved, [], "exact solver"
            proved = done or len(loads) <= bound
    if proved:
        bound = len(loads)
    not_placed += [
        (piece.name, "the first-fit search found no place for it within the offset limit")
        for piece in left_over
    ]
    if fit and not proved:
        cautions.append("Not proved smallest: fewer may do.")
    if not_placed:
        names = ", ".join(name for name, _ in not_placed)
        cautions.append(f"Not placed: {names}. The number is for the other pieces: at least.")
    if limits.positions is not None:
        cautions.append("The balance is for these masses; a lighter true mass on one side shifts it.")
    return Arrangement(
        loads=tuple(loads),
        proved_smallest=proved,
        at_least=bound,
        method=method,
        not_placed=tuple(not_placed),
        cautions=(*dict.fromkeys(cautions), PERSON_DECIDES),
    )


def _check(pieces: Sequence[PieceToMove], limits: TripLimits, seconds: float) -> None:
    """Refuse what cannot be packed at all."""
    names = [piece.name for piece in pieces]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise MovingInputError(f"Two pieces are called {', '.join(twice)}: give each a name of its own.")
    given("the mass limit of a pallet", limits.mass_kg, "it in kg")
    given("the time for the solver", seconds, "it in seconds")
    optional("the area limit of a pallet", limits.area, "it in square metres")
    if limits.places is not None and limits.places < 1:
        raise MovingInputError(
            f"{limits.places} places: a pallet needs one or more; leave it out for no limit."
        )
    if limits.positions is not None:
        if not limits.positions:
            raise MovingInputError("No positions in the list: give one per place, in metres from the middle.")
        if limits.places is not None and limits.places != len(limits.positions):
            raise MovingInputError(
                f"{limits.places} places but {len(limits.positions)} positions: give one position per place."
            )
        for number, position in enumerate(limits.positions, start=1):
            for value in position:
                given(f"position {number}", value, "x and y in metres from the middle", signed=True)
    if limits.offset is not None:
        if limits.positions is None:
            raise MovingInputError(
                "A limit on the offset of the centre of gravity needs positions: give x and y of each place, "
                "in metres from the middle."
            )
        for value in limits.offset:
            given("the offset limit", value, "how far along x and along y, in metres", zero=True)
    for piece in pieces:
        optional(f"the mass of {piece.name}", piece.mass_kg, "the heaviest believable figure in kg")
        optional(f"the footprint of {piece.name}", piece.area, "it in square metres")
        if piece.places < 1 or (piece.places > 1 and limits.positions is not None):
            raise MovingInputError(
                f"{piece.name} takes {piece.places} places: give 1 or more; 1 where places have positions."
            )


def _sort_out(
    pieces: Sequence[PieceToMove], limits: TripLimits
) -> tuple[list[PieceToMove], list[tuple[str, str]]]:
    """Part the pieces that can be packed from those that cannot, each with its reason."""
    fit: list[PieceToMove] = []
    not_placed: list[tuple[str, str]] = []
    room = _places(limits)
    for piece in pieces:
        if piece.mass_kg is None:
            not_placed.append((piece.name, "its mass is not known"))
        elif piece.mass_kg > limits.mass_kg:
            over = f"{plain(piece.mass_kg)} kg is above the limit of {plain(limits.mass_kg)} kg by itself"
            not_placed.append((piece.name, over))
        elif limits.area is not None and piece.area is None:
            not_placed.append((piece.name, "its footprint is not known"))
        elif limits.area is not None and piece.area is not None and piece.area > limits.area:
            over = f"{plain(piece.area)} m2 is above the limit of {plain(limits.area)} m2 by itself"
            not_placed.append((piece.name, over))
        elif room is not None and piece.places > room:
            not_placed.append((piece.name, f"it takes {piece.places} places and a pallet has {room}"))
        else:
            fit.append(piece)
    return fit, not_placed


def _places(limits: TripLimits) -> int | None:
    return limits.places if limits.positions is None else len(limits.positions)


def _mass(piece: PieceToMove) -> float:
    assert piece.mass_kg is not None  # pieces without a mass were sorted out
    return piece.mass_kg


def _area(piece: PieceToMove) -> float:
    return piece.area or 0.0  # only asked where area is limited, and pieces without one were sorted out


def _counted_bound(fit: Sequence[PieceToMove], limits: TripLimits) -> int:
    """Count how many pallets the totals alone need: no arrangement can do with fewer."""
    if not fit:
        return 0
    room = _places(limits)
    needs = [1.0, math.fsum(map(_mass, fit)) / limits.mass_kg]
    if limits.area is not None:
        needs.append(math.fsum(map(_area, fit)) / limits.area)
    if room is not None:
        needs.append(sum(piece.places for piece in fit) / room)
    return max(math.ceil(need - 1e-9) for need in needs)


def _within(chosen: Sequence[PieceToMove], limits: TripLimits) -> bool:
    """Check one pallet against the limits of mass, area and number of places."""
    room = _places(limits)
    return (
        math.fsum(map(_mass, chosen)) <= limits.mass_kg
        and (limits.area is None or math.fsum(map(_area, chosen)) <= limits.area)
        and (room is None or sum(piece.places for piece in chosen) <= room)
    )


def _centre(masses: Sequence[float], at: Sequence[tuple[float, float]]) -> tuple[float, float]:
    total = math.fsum(masses)
    x, y = (
        math.fsum(m * place[axis] for m, place in zip(masses, at, strict=True)) / total for axis in (0, 1)
    )
    return x, y


def _balanced(centre: tuple[float, float], limits: TripLimits) -> bool:
    return limits.offset is None or all(
        abs(value) <= limit + 1e-12 for value, limit in zip(centre, limits.offset, strict=True)
    )


def _arrange(chosen: Sequence[PieceToMove], limits: TripLimits) -> PalletLoad | None:
    """Put the pieces of one pallet on its positions; None where no way tried keeps the offset limit."""
    if not _within(chosen, limits):
        return None
    if limits.positions is None:
        return _load(chosen, None, limits)
    masses = [_mass(piece) for piece in chosen]
    tries = 0
    stack: list[tuple[int, ...]] = [()]
    while stack and tries < MOST_TRIES:
        taken = stack.pop()
        if len(taken) == len(chosen):
            tries += 1
            if _balanced(_centre(masses, [limits.positions[place] for place in taken]), limits):
                return _load(chosen, taken, limits)
            continue
        stack.extend(
            (*taken, place) for place in range(len(limits.positions) - 1, -1, -1) if place not in taken
        )
    return None


def _load(chosen: Sequence[PieceToMove], taken: Sequence[int] | None, limits: TripLimits) -> PalletLoad:
    masses = [_mass(piece) for piece in chosen]
    centre = None
    if taken is not None and limits.positions is not None:
        centre = _centre(masses, [limits.positions[place] for place in taken])
    areas = [piece.area for piece in chosen if piece.area is not None]
    return PalletLoad(
        pieces=tuple(piece.name for piece in chosen),
        positions=None if taken is None else tuple(place + 1 for place in taken),
        mass_kg=math.fsum(masses),
        area=math.fsum(areas) if len(areas) == len(chosen) else None,
        centre=centre,
    )


def _first_fit(fit: Sequence[PieceToMove], limits: TripLimits) -> tuple[list[PalletLoad], list[PieceToMove]]:
    """Put the heaviest first onto the first pallet that takes it; what finds no place is handed back."""
    pallets: list[list[PieceToMove]] = []
    arranged: list[PalletLoad] = []
    left_over: list[PieceToMove] = []
    for piece in sorted(fit, key=lambda one: (-_mass(one), one.name)):
        for number, on_it in enumerate(pallets):
            load = _arrange([*on_it, piece], limits)
            if load is not None:
                on_it.append(piece)
                arranged[number] = load
                break
        else:
            load = _arrange([piece], limits)
            if load is None:
                left_over.append(piece)
            else:
                pallets.append([piece])
                arranged.append(load)
    return arranged, left_over


def _solve(
    fit: Sequence[PieceToMove], limits: TripLimits, upper: int, seconds: float
) -> tuple[list[PalletLoad], int, bool] | None:
    """Solve exactly: loads, proved lower bound, whether proved smallest; None where the solver is not used.

    The solver may overstep its limits by about one part in a million. Such an answer is not taken: it is
    solved again with limits a little tighter, and is proved when the number stays the same.
    """
    try:
        import scipy.optimize  # noqa: F401
    except ImportError:
        return None
    slots = 1 if limits.positions is None else len(limits.positions)
    if len(fit) * upper * slots > MOST_YES_NO:
        return None
    loads, bound, done = _solve_once(fit, limits, upper, seconds, 1.0)
    if loads is None and not done:
        return [], bound, False
    if loads is None:
        raise PackingError(
            "No arrangement keeps the limits of mass, area, places and offset for all pieces together. "
            "Give more places, a larger offset, or leave a piece out."
        )
    if all(_keeps(load, fit, limits) for load in loads):
        return loads, bound, done
    tighter, _, _ = _solve_once(fit, limits, upper, seconds, TIGHTER)
    if tighter is None or not all(_keeps(load, fit, limits) for load in tighter):
        return [], bound, False
    return tighter, bound, done and len(tighter) == bound


def _keeps(load: PalletLoad, fit: Sequence[PieceToMove], limits: TripLimits) -> bool:
    chosen = [piece for piece in fit if piece.name in load.pieces]
    return _within(chosen, limits) and (load.centre is None or _balanced(load.centre, limits))


def _solve_once(
    fit: Sequence[PieceToMove], limits: TripLimits, upper: int, seconds: float, factor: float
) -> tuple[list[PalletLoad] | None, int, bool]:
    """One run of the solver: minimise the pallets used, each piece on one place of one pallet.

    z[piece, pallet, place] and used[pallet] are 0 or 1. Every piece once; per pallet mass, area and places
    within the limit times used; a position at most once; |sum m x| <= offset times sum m along both ways. The
    pallets are alike, so piece i goes to one of the first i + 1 pallets only, and used pallets come first.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import lil_matrix

    spots = limits.positions or ((0.0, 0.0),)
    count, slots = len(fit), len(spots)
    used = count * upper * slots

    def at(piece: int, pallet: int, place: int) -> int:
        return (piece * upper + pallet) * slots + place

    rows: list[tuple[dict[int, float], float, float]] = []
    rows.extend(
        ({at(i, k, p): 1.0 for k in range(upper) for p in range(slots)}, 1.0, 1.0) for i in range(count)
    )
    per_pallet = [(_mass, limits.mass_kg * factor)]
    if limits.area is not None:
        per_pallet.append((_area, limits.area * factor))
    room = _places(limits)
    for k in range(upper):
        for measure, limit in per_pallet:
            terms = {at(i, k, p): measure(fit[i]) / limit for i in range(count) for p in range(slots)}
            rows.append(({**terms, used + k: -1.0}, -np.inf, 0.0))
        if room is not None:
            terms = {at(i, k, p): fit[i].places / room for i in range(count) for p in range(slots)}
            rows.append(({**terms, used + k: -1.0}, -np.inf, 0.0))
        if limits.positions is not None:
            rows.extend(({at(i, k, p): 1.0 for i in range(count)}, 0.0, 1.0) for p in range(slots))
        if limits.offset is not None:
            for axis, limit in enumerate(limits.offset):
                for sign in (1.0, -1.0):
                    terms = {
                        at(i, k, p): _mass(fit[i]) / limits.mass_kg * (sign * spots[p][axis] - limit * factor)
                        for i in range(count)
                        for p in range(slots)
                    }
                    if max(terms.values()) > 0.0:  # otherwise it holds by itself
                        rows.append((terms, -np.inf, 0.0))
        if k:
            rows.append(({used + k: 1.0, used + k - 1: -1.0}, -np.inf, 0.0))
    matrix: Any = lil_matrix((len(rows), used + upper))
    for number, (terms, _, _) in enumerate(rows):
        for column, value in terms.items():
            matrix[number, column] = value
    cost = np.zeros(used + upper)
    cost[used:] = 1.0
    most = np.ones(used + upper)
    for i in range(count):
        for k in range(i + 1, upper):
            for p in range(slots):
                most[at(i, k, p)] = 0.0
    within = LinearConstraint(matrix.tocsr(), [row[1] for row in rows], [row[2] for row in rows])
    for presolve in (
        False,
        True,
    ):  # a solver error was seen on impossible cases, mostly with presolve: ask again
        result = milp(
            cost,
            constraints=within,
            integrality=np.ones(used + upper),
            bounds=Bounds(0.0, most),
            options={"time_limit": seconds, "mip_rel_gap": 0.0, "presolve": presolve},
        )
        if result.status != 4:
            break
    dual = getattr(result, "mip_dual_bound", None)
    bound = math.ceil(float(dual) - 1e-6) if dual is not None and math.isfinite(dual) else 0
    if result.x is None:
        return None, bound, result.status == 2  # 2: proved that there is none
    loads: list[PalletLoad] = []
    for k in range(upper):
        on_it = [(i, p) for i in range(count) for p in range(slots) if result.x[at(i, k, p)] > 0.5]
        if on_it:
            taken = None if limits.positions is None else [p for _, p in on_it]
            loads.append(_load([fit[i] for i, _ in on_it], taken, limits))
    return loads, bound, result.status == 0
