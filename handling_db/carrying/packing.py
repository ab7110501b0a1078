"""Several pieces onto the fewest pallets or trips, within limits of mass and places.

The smallest number is found by an exact solver (mixed-integer programming, HiGHS by way of scipy, imported
only here) and is called proved only when the solver, or plain counting, says that no smaller number can do.
Where there is too much to try a first-fit search gives an arrangement that keeps the limits, and says that it
is not proved smallest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from handling_db.carrying.checks import PERSON_DECIDES, MovingInputError, given, optional
from handling_db.quantities.notice import Notice

MOST_YES_NO = 6000  # more yes-or-no variables than this go to the first-fit search
TIGHTER = 1.0 - 2e-6  # the solver keeps limits to about one part in a million: room for that


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceToMove:
    """One piece to be moved."""

    name: str
    mass_kg: float | None  # heaviest believable, with its oil and packing; None: not known


@dataclass(frozen=True, slots=True, kw_only=True)
class TripLimits:
    """What one pallet or trip takes. Pallets are all alike."""

    mass_kg: float
    places: int | None = None  # None: no limit by places


@dataclass(frozen=True, slots=True, kw_only=True)
class PalletLoad:
    """What goes on one pallet or trip."""

    pieces: tuple[str, ...]
    mass_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """An arrangement, whether its number is proved smallest, and what could not be placed."""

    loads: tuple[PalletLoad, ...]
    proved_smallest: bool
    at_least: int  # no arrangement of the placed pieces can do with fewer
    method: str
    not_placed: tuple[tuple[str, Notice], ...]  # name and reason
    cautions: tuple[Notice, ...]

    @property
    def number(self) -> int:
        """How many pallets or trips the placed pieces take."""
        return len(self.loads)


def fewest_pallets(
    pieces: Sequence[PieceToMove], limits: TripLimits, *, seconds: float = 10.0
) -> Arrangement:
    """Arrange pieces on the fewest pallets or trips.

    Parameters
    ----------
    pieces : sequence of PieceToMove
        A piece with no mass is not placed and is listed with the reason; so is one that is over the limit by
        itself.
    limits : TripLimits
        Of one pallet or trip. [kg]
    seconds : float
        Longest time for the solver; when it runs out the best arrangement found is given, not proved. [s]

    Returns
    -------
    Arrangement
        Loads, number, whether proved smallest, what was not placed, cautions.

    Raises
    ------
    MovingInputError
        A figure cannot be one.
    """
    _check(pieces, limits, seconds)
    fit, not_placed = _sort_out(pieces, limits)
    cautions: list[Notice] = []
    loads = _first_fit(fit, limits)
    bound = _counted_bound(fit, limits)
    method = "first fit"
    proved = len(loads) <= bound
    if not proved and len(fit) * len(loads) > MOST_YES_NO:
        cautions.append(Notice("solver not used"))
    elif not proved:
        solved, solver_bound, done = _solve(fit, limits, len(loads), seconds)
        bound = max(bound, solver_bound)
        if solved is None:
            cautions.append(Notice("solver out of time"))
        else:
            if len(solved) <= len(loads):
                loads, method = solved, "exact solver"
            proved = done or len(loads) <= bound
    if proved:
        bound = len(loads)
    if fit and not proved:
        cautions.append(Notice("not proved"))
    if not_placed:
        cautions.append(Notice("not placed", {"names": tuple(name for name, _ in not_placed)}))
    return Arrangement(
        loads=tuple(PalletLoad(pieces=tuple(p.name for p in on), mass_kg=_mass(on)) for on in loads),
        proved_smallest=proved,
        at_least=bound,
        method=method,
        not_placed=tuple(not_placed),
        cautions=(*cautions, PERSON_DECIDES),
    )


def _check(pieces: Sequence[PieceToMove], limits: TripLimits, seconds: float) -> None:
    """Refuse what cannot be packed at all."""
    given("the mass limit of a pallet", limits.mass_kg, "it in kg")
    given("the time for the solver", seconds, "it in seconds")
    if limits.places is not None and limits.places < 1:
        raise MovingInputError(
            f"{limits.places} places: a pallet needs one or more; leave it out for no limit."
        )
    for piece in pieces:
        optional(f"the mass of {piece.name}", piece.mass_kg, "the heaviest believable figure in kg")


def _sort_out(
    pieces: Sequence[PieceToMove], limits: TripLimits
) -> tuple[list[PieceToMove], list[tuple[str, Notice]]]:
    """Part the pieces that can be packed from those that cannot, each with its reason."""
    fit: list[PieceToMove] = []
    not_placed: list[tuple[str, Notice]] = []
    for piece in pieces:
        if piece.mass_kg is None:
            not_placed.append((piece.name, Notice("mass not known")))
        elif piece.mass_kg > limits.mass_kg:
            facts = {"own_kg": piece.mass_kg, "limit_kg": limits.mass_kg}
            not_placed.append((piece.name, Notice("mass over", facts)))
        else:
            fit.append(piece)
    return fit, not_placed


def _mass(pieces: Sequence[PieceToMove]) -> float:
    """Of pieces whose masses are known. [kg]"""
    return math.fsum(piece.mass_kg for piece in pieces if piece.mass_kg is not None)


def _counted_bound(fit: Sequence[PieceToMove], limits: TripLimits) -> int:
    """Count how many pallets the totals alone need: no arrangement can do with fewer."""
    if not fit:
        return 0
    needs = [1.0, _mass(fit) / limits.mass_kg, len(fit) / (limits.places or len(fit))]
    return max(math.ceil(need - 1e-9) for need in needs)


def _within(chosen: Sequence[PieceToMove], limits: TripLimits) -> bool:
    """Check one pallet against the limits of mass and number of places."""
    return _mass(chosen) <= limits.mass_kg and (limits.places is None or len(chosen) <= limits.places)


def _first_fit(fit: Sequence[PieceToMove], limits: TripLimits) -> list[list[PieceToMove]]:
    """Put the heaviest first onto the first pallet that takes it."""
    pallets: list[list[PieceToMove]] = []
    for piece in sorted(fit, key=lambda one: (-_mass([one]), one.name)):
        on_it = next((one for one in pallets if _within([*one, piece], limits)), None)
        if on_it is None:
            pallets.append([piece])
        else:
            on_it.append(piece)
    return pallets


def _solve(
    fit: Sequence[PieceToMove], limits: TripLimits, upper: int, seconds: float
) -> tuple[list[list[PieceToMove]] | None, int, bool]:
    """Solve exactly: loads, proved lower bound, whether proved smallest; no loads where there is no answer.

    The solver may overstep its limits by about one part in a million. Such an answer is not taken: it is
    solved again with limits a little tighter, and is proved when the number stays the same.
    """
    loads, bound, done = _solve_once(fit, limits, upper, seconds, 1.0)
    if loads is None or all(_within(load, limits) for load in loads):
        return loads, bound, done
    tighter, _, _ = _solve_once(fit, limits, upper, seconds, TIGHTER)
    if tighter is None or not all(_within(load, limits) for load in tighter):
        return None, bound, False
    return tighter, bound, done and len(tighter) == bound


def _solve_once(
    fit: Sequence[PieceToMove], limits: TripLimits, upper: int, seconds: float, factor: float
) -> tuple[list[list[PieceToMove]] | None, int, bool]:
    """One run of the solver: minimise the pallets used, each piece on one pallet.

    z[piece, pallet] and used[pallet] are 0 or 1. Every piece once; per pallet mass and places within the
    limit times used. The pallets are alike, so piece i goes to one of the first i + 1 pallets only, and used
    pallets come first.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import lil_matrix

    count = len(fit)
    used = count * upper
    rows: list[tuple[dict[int, float], float, float]] = [
        ({i * upper + k: 1.0 for k in range(upper)}, 1.0, 1.0) for i in range(count)
    ]
    for k in range(upper):
        shares = [[_mass([piece]) / (limits.mass_kg * factor) for piece in fit]]
        if limits.places is not None:
            shares.append([1 / limits.places] * count)
        for share in shares:
            terms = {i * upper + k: share[i] for i in range(count)}
            rows.append(({**terms, used + k: -1.0}, -np.inf, 0.0))
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
        most[i * upper + i + 1 : (i + 1) * upper] = 0.0
    within = LinearConstraint(matrix.tocsr(), [row[1] for row in rows], [row[2] for row in rows])
    for presolve in (False, True):  # a solver error was seen, mostly with presolve: ask again
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
        return None, bound, False
    loads = [[fit[i] for i in range(count) if result.x[i * upper + k] > 0.5] for k in range(upper)]
    return [on_it for on_it in loads if on_it], bound, result.status == 0
