"""Pallets: gross mass with everything on it, rating by kind of load distribution, stacking."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import MovingInputError, given, optional, plain
from handling_db.carrying.demand import Demand, RatingBeside, against_rating
from handling_db.quantities.notice import Notice, once

Figures = tuple[float, float, float]  # low, best, high [kg]
NOTHING: Figures = (0.0, 0.0, 0.0)  # someone looked and there is none; never a stand-in for not known

Distribution = Literal["any", "even", "full surface"]
# From the hardest on the boards to the easiest: a rating for a harder distribution holds for an easier one.
DISTRIBUTIONS: tuple[Distribution, ...] = ("any", "even", "full surface")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gross:
    """Everything on the forks or the floor, and what of it nobody knows. [kg]"""

    low_kg: float  # sum of the lowest figures of what is known
    best_kg: (
        float  # sum of the best figures of what is known: the "at least" figure while a part is not known
    )
    high_kg: float | None  # heaviest believable; None while a part is not known
    missing: tuple[str, ...]
    without_pallet: Demand  # what the boards of the pallet carry
    with_pallet: Demand  # what forks and floor carry

    @property
    def complete(self) -> bool:
        """Whether every part is known."""
        return not self.missing


def gross(
    *,
    piece: Figures | None,
    oil: Figures | None,
    packing: Figures | None,
    pallet: Figures | None,
    others: Sequence[tuple[str, Figures | None]] = (),
) -> Gross:
    """Add up what stands on the forks: piece, oil still in it, packing, pallet.

    Parameters
    ----------
    piece, oil, packing, pallet : (low, best, high) or None
        None: not known, and the gross becomes "at least". `NOTHING` says that somebody looked and there is
        none. [kg]
    others : sequence of (name, (low, best, high) or None)
        Anything else that travels with it, such as cribbing or straps. [kg]

    Returns
    -------
    Gross
        Low, best and high; no high while a part is not known; what is missing.

    Raises
    ------
    MovingInputError
        A figure is negative or not finite, or low, best, high are not in that order.

    Examples
    --------
    >>> total = gross(piece=(369.4, 372.1, 374.8), oil=(0.4, 1.0, 1.6), packing=NOTHING, pallet=(38, 38, 38))
    >>> round(total.best_kg, 1), round(total.high_kg, 1)
    (411.1, 414.4)
    >>> gross(piece=None, oil=NOTHING, packing=None, pallet=(38, 38, 38)).missing
    ('piece', 'packing')
    """
    named = [("piece", piece), ("oil", oil), ("packing", packing), *others]
    carried = _total("on the pallet", named)
    everything = _total("gross", [*named, ("pallet", pallet)])
    low, best, missing = everything
    high = _high([*named, ("pallet", pallet)])
    return Gross(
        low_kg=low,
        best_kg=best,
        high_kg=high,
        missing=missing,
        without_pallet=Demand(
            name="load on the pallet", low_kg=carried[0], high_kg=_high(named), missing=carried[2]
        ),
        with_pallet=Demand(name="gross", low_kg=low, high_kg=high, missing=missing),
    )


def _total(what: str, named: Sequence[tuple[str, Figures | None]]) -> tuple[float, float, tuple[str, ...]]:
    """Sum the lows and the bests of what is known, and name what is not."""
    for name, figures in named:
        if figures is None:
            continue
        low, best, high = (
            given(f"the {word} figure of {name}", value, "it in kg", zero=True)
            for word, value in zip(("low", "best", "high"), figures, strict=True)
        )
        if not low <= best <= high:
            raise MovingInputError(
                f"{name} ({what}): {plain(low)}, {plain(best)}, {plain(high)} kg are not in order; "
                "give low, best and high."
            )
    known = [figures for _, figures in named if figures is not None]
    missing = tuple(name for name, figures in named if figures is None)
    return math.fsum(one[0] for one in known), math.fsum(one[1] for one in known), missing


def _high(named: Sequence[tuple[str, Figures | None]]) -> float | None:
    known = [figures for _, figures in named if figures is not None]
    return None if len(known) < len(named) else math.fsum(one[2] for one in known)


@dataclass(frozen=True, slots=True, kw_only=True)
class PalletRating:
    """Which rating of a pallet belongs to this load, beside the load."""

    used: Distribution | None  # which rating was taken; None: none holds for it
    beside: RatingBeside
    cautions: tuple[Notice, ...]


def rated_for(
    load: Demand, ratings: Mapping[Distribution, float | None], distribution: Distribution | None
) -> PalletRating:
    """Choose a pallet's rating by how the load is spread, and put the load beside it.

    The kinds, from the hardest on the boards: "any" (the load may stand on a few points), "even" (evenly
    spread), "full surface" (compact and over the full surface). A rating for a harder kind also holds for an
    easier one, never the other way round, and nothing is put between two ratings.

    Parameters
    ----------
    load : Demand
        What the boards carry, without the pallet itself. [kg]
    ratings : mapping of str to float or None
        Ratings recorded for the pallet; None or left out: not recorded. [kg]
    distribution : str or None
        How the load is spread; None: not recorded, then as "any".

    Returns
    -------
    PalletRating
        Rating taken, comparison and cautions.

    Raises
    ------
    MovingInputError
        A kind is unknown or a figure cannot be one.

    References
    ----------
    .. [1] Load rule of the exchange pallet (UIC 435-2): 1 000 kg any, 1 500 kg even, 2 000 kg compact and
       over the full surface (secondary, two sources).
    """
    for kind, rating in ratings.items():
        _kind(kind)
        if rating is not None:
            given(f"the rating for {kind}", rating, "it in kg")
    cautions = [Notice("spread not recorded")] if distribution is None else []
    wanted = DISTRIBUTIONS.index(_kind(distribution or "any"))
    used: Distribution | None = None
    for kind in reversed(DISTRIBUTIONS[: wanted + 1]):
        if ratings.get(kind) is not None:
            used = kind
            break
    if used is None:
        cautions.append(Notice("no rating for the spread"))
    elif used != (distribution or "any"):
        cautions.append(Notice("rating for a harder spread", {"spread": distribution, "used": used}))
    if wanted == 0:
        cautions.append(Notice("feet on single boards"))
    rated = None if used is None else ratings[used]
    beside = against_rating(load, f"pallet, load spread {used or distribution or 'any'}", rated)
    return PalletRating(used=used, beside=beside, cautions=once((*cautions, *beside.cautions)))


def _kind(kind: str) -> Distribution:
    for known in DISTRIBUTIONS:
        if kind == known:
            return known
    raise MovingInputError(f"{kind!r} is no kind of load distribution: write {', '.join(DISTRIBUTIONS)}.")


def stacking(limit_kg: float | None) -> Notice:
    """Answer for stacking: no, unless a limit is stated for the packed piece itself.

    Parameters
    ----------
    limit_kg : float or None
        Mass that may stand on top as stated by whoever packed it; None: nothing stated. A stated "not to be
        stacked" is 0. A pallet maker's stacking figure is no statement about the piece. [kg]

    Raises
    ------
    MovingInputError
        The limit cannot be one.
    """
    limit = optional("the stacking limit", limit_kg, "it in kg, or 0 for not to be stacked", zero=True)
    if limit is None:
        return Notice("not stacked")
    return Notice("stacked", {"limit_kg": limit}) if limit else Notice("stated not stacked")
