"""A pallet, skid or saddle pallet: size, own mass, and what it is rated for by the way the load is spread."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.records.parts.common import Answer, Recorded
from handling_db.records.parts.measures import LengthText, MassText
from handling_db.records.parts.premises import Feet
from handling_db.records.parts.texts import Date, Id, Line, Part, Text
from handling_db.records.parts.three_valued import Looked, listed, looked, none_needs_a_name

Spread = Literal["any", "even", "full surface"]
ForkSide = Literal["low x", "high x", "low y", "high y"]
PalletKind = Literal["flat pallet", "saddle pallet", "skid", "drip tray", "other"]


class SpreadRating(Part):
    """What the boards take when the load is spread in one way, and who says so."""

    spread: Spread
    """`any`, `even` or `full surface`"""
    rated: MassText
    """the rating"""
    source: Id | None = None
    """who says so"""
    where: Line | None = None
    """where it stands"""


class Saddle(Part):
    """What a saddle holds: its radius, and which faces it takes."""

    radius: LengthText | None = None
    """its radius"""
    takes: Line | None = None
    """what it takes"""
    material: Line | None = None
    """what it is made of"""


class Pallet(Recorded):
    """What a piece stands on while it is parked and moved; x is along its length, y along its width."""

    pallet: Id
    """its id"""
    name: Line
    """its name"""
    kind: PalletKind
    """`flat pallet`, `saddle pallet`, `skid`, `drip tray` or `other`"""
    shop: Id | None = None
    """the shop that has it"""
    length: LengthText | None = None
    """along x"""
    width: LengthText | None = None
    """along y"""
    deck_height: LengthText | None = None
    """height of the deck"""
    fork_top: LengthText | None = None
    """height of the top of the fork openings"""
    own_mass: MassText | None = None
    """what it weighs"""
    plus_or_minus: MassText | None = None
    """its doubt"""
    ratings: Annotated[Looked[SpreadRating], *looked(SpreadRating)] = None
    """what it takes by how the load is spread; a list, or `none`"""
    board_limit: MassText | None = None
    """what one board takes"""
    saddle: Saddle | None = None
    """what its saddle holds"""
    fork_entry: tuple[ForkSide, ...] = ()
    """sides for the forks: `low x`, `high x`, `low y`, `high y`"""
    deck: Line | None = None
    """open or closed, in words"""
    feet: Feet | None = None
    """what touches the floor"""
    tie_down: Line | None = None
    """where to tie"""
    shop_made: Answer | None = None
    """`yes` or `no`"""
    treatment_mark: Answer | None = None
    """`yes` if the wood carries the mark of treatment"""
    inspection_due: Date | None = None
    """when the next inspection is due"""
    checked_by: Line | None = None
    """whose role looked, for `ratings: none`"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> Pallet:
        none_needs_a_name(self.checked_by, ratings=self.ratings)
        if self.plus_or_minus is not None and self.own_mass is None:
            raise ValueError("'plus or minus' goes with 'own mass'")
        top, deck = self.fork_top, self.deck_height
        if top is not None and deck is not None and top.base > deck.base:
            raise ValueError(
                f"'fork top' {top} is above 'deck height' {deck}; "
                "the forks lie below the deck: correct one of them"
            )
        kinds = [rating.spread for rating in listed(self.ratings)]
        twice = next((kind for kind in kinds if kinds.count(kind) > 1), None)
        if twice is not None:
            raise ValueError(f"two ratings for the spread {twice!r}; keep the one on the mark")
        return self
