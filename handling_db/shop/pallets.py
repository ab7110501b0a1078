"""The pallets recorded, and several pieces onto the fewest of one kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.packing import Arrangement, PieceToMove, TripLimits, fewest_pallets
from handling_db.carrying.pallets import DISTRIBUTIONS
from handling_db.moving.question import wanted
from handling_db.records.collection import Collection
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.parts.three_valued import listed
from handling_db.shop.fixtures import piece_mass


def pallet_list(collection: Collection) -> tuple[Mapping[str, str], ...]:
    """Every pallet recorded, as plain texts."""
    return tuple(
        {
            "id": pallet.id,
            "name": pallet.name,
            "kind": pallet.kind,
            "shop": _shop(collection, pallet),
            "ratings": _ratings(pallet),
            "size": _size(pallet),
            "own_mass": str(pallet.own_mass or "not recorded"),
            "fork_entry": ", ".join(pallet.fork_entry) or "not recorded",
            "remark": pallet.remark or "",
        }
        for _, pallet in sorted(collection.pallets.items())
    )


def _shop(collection: Collection, pallet: Pallet) -> str:
    shop = collection.shops.get(pallet.shop or "")
    return shop.name if shop else "not recorded"


def _size(pallet: Pallet) -> str:
    deck = pallet.deck_height or "not recorded"
    return f"{pallet.length or '?'} x {pallet.width or '?'}, deck {deck}"


def _ratings(pallet: Pallet) -> str:
    if pallet.ratings is None:
        return "no rating recorded: nobody looked"
    if pallet.ratings == "none":
        return f"no rating, checked by {pallet.checked_by}"
    return "; ".join(f"{rating.rated} load spread {rating.spread}" for rating in listed(pallet.ratings))


@dataclass(frozen=True, slots=True, kw_only=True)
class PalletAsked:
    """What one pallet or trip is asked to take at most.

    Parameters
    ----------
    pallet : str, optional
        Id of the pallet whose rating is the limit.
    spread : str
        How the load is spread; the rating for a harder way holds too.
    most_kg : float, optional
        Limit given by whoever asks, instead or besides; the lower of the two counts. [kg]
    places : int, optional
        How many pieces one takes.
    """

    pallet: str | None = None
    spread: str = "any"
    most_kg: float | None = None
    places: int | None = None


def few_pallets(
    pieces: Mapping[str, Collection],
    collection: Collection,
    asked: PalletAsked,
    *,
    seconds: float = 10.0,
) -> Arrangement:
    """Several pieces onto the fewest pallets or trips.

    Parameters
    ----------
    pieces : mapping of piece id to the Collection it stands in
        Each with its heaviest believable mass without fluid.
    collection : Collection
        Where the pallet is recorded.
    asked : PalletAsked
    seconds : float
        Longest time for the exact solver. [s]

    Raises
    ------
    MovingInputError
        There is no limit, or the pieces cannot be arranged within it.
    """
    limits = [asked.most_kg] if asked.most_kg is not None else []
    if asked.pallet is not None:
        record: Pallet = wanted(collection, "pallet", asked.pallet)
        rated = {rating.spread: float(rating.rated.base) for rating in listed(record.ratings)}
        place = next((index for index, kind in enumerate(DISTRIBUTIONS) if kind == asked.spread), 0)
        held = [rated[kind] for kind in DISTRIBUTIONS[: place + 1] if kind in rated]
        if held:
            limits.append(max(held))
        elif asked.most_kg is None:
            raise MovingInputError(
                f"{record.name} has no rating for a load spread {asked.spread!r}: read its mark, "
                "or give a limit."
            )
    if not limits:
        raise MovingInputError("no limit of mass: name a pallet with a rating, or give a limit in kg.")
    listed_pieces = []
    for code, own in pieces.items():
        amount, _ = piece_mass(own, code)
        listed_pieces.append(PieceToMove(name=code, mass_kg=amount.high if amount else None))
    limit = TripLimits(mass_kg=min(limits), places=asked.places)
    return fewest_pallets(listed_pieces, limit, seconds=seconds)
