"""Pieces that come free into somebody's hands, beside the shop's limit for one person."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.carrying.hands import HandPart, hand_limit
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.weighing import Scales
from handling_db.quantities.amount import Amount
from handling_db.quantities.mass import add_masses
from handling_db.records.kinds.workplace import Shop
from handling_db.shop.figures import HandLine


def in_hands(scales: Scales, freed: Sequence[int], shop: Shop | None) -> tuple[HandLine, ...]:
    """What of some pieces is above the shop's limit, may be, or nobody knows; each by itself, heaviest first.

    Parameters
    ----------
    scales : Scales
    freed : sequence of pieces
        Each as it comes free: an assembly in one piece.
    shop : Shop or None
        Without one, or without a limit, nothing can be said: the list is empty and the answer says so once.
    """
    limit = float(shop.hand_limit.base) if shop is not None and shop.hand_limit is not None else None
    if limit is None:
        return ()
    lines = {}
    for piece in freed:
        load, many = _one(scales, piece)
        lines[piece] = HandLine(
            scales.unit.component(piece).id, scales.unit.name(piece), f"{many:g}", load, ""
        )
    parts = [
        HandPart(
            name=str(piece),
            low_kg=line.load.low if line.load else None,
            high_kg=line.load.high if line.load else None,
        )
        for piece, line in lines.items()
    ]
    words = hand_limit(parts, limit_kg=limit, rule=None, call=None)
    told = dict(words.words)
    found = []
    for name in (*words.above, *words.may_be_above, *words.not_known):
        line = lines[int(name)]
        found.append(HandLine(line.id, line.name, line.pieces, line.load, told[name]))
    return tuple(found)


def _one(scales: Scales, piece: int) -> tuple[Amount | None, float]:
    """One of a piece with everything below it, and how many there are. [kg]"""
    unit: Unit = scales.unit
    many = unit.pieces[piece].pieces
    mass = scales.dry(unit.under(piece))
    known = [carried.mass for carried in mass.carried if carried.mass is not None]
    if not known:
        return None, float(many)
    total = add_masses(known)
    complete = total.complete and not mass.missing
    low, best, high = (float(value / many) for value in (total.low, total.best, total.high))
    return Amount(low, best, high if complete else None), float(many)
