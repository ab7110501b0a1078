"""Where the pieces of a unit lie, and the box in which one surely is whose place is not recorded."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

from handling_db.lifting.load.unit import Unfolded
from handling_db.lifting.occurrences import Side, Ways, widest
from handling_db.mechanics.vectors import Box, Vector, add, around, corners_of, scale, subtract
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.weights.own_centre import own_centre


class Places:
    """Where the pieces of a unit lie, as far as that is recorded, along the axes of the root.

    Parameters
    ----------
    collection : Collection
    unit : Unfolded
    sides : tuple of Side
        By occurrence of the unit.
    """

    def __init__(self, collection: Collection, unit: Unfolded, sides: tuple[Side, ...]) -> None:
        self.collection = collection
        self.unit = unit
        self.ways = unit.ways
        self.sides = sides

    def component(self, index: int) -> Component:
        """What an occurrence is one of."""
        return self.collection.components[self.ways.tree.component(self.ways.found[index].node)]

    @cached_property
    def wholly(self) -> list[bool]:
        """By occurrence, whether all below is on the same side; fluid aside, which is never a piece."""
        wholly = [True] * len(self.ways.found)
        for index in reversed(range(1, len(self.ways.found))):
            parent = self.ways.found[index].parent
            same = (
                self.sides[index].part == self.sides[parent].part or self.component(index).fluid is not None
            )
            if not (wholly[index] and same):
                wholly[parent] = False
        return wholly

    def place(self, index: int) -> Vector | None:
        """The middle of the pieces that are in; None where a place is missing or it is not told which."""
        occurrence = self.ways.found[index]
        own = self.own_place(index)
        if own is None or not occurrence.frames or 0 < self.sides[index].part < 1:
            return None
        middle = add(*(frame.to_parent(own) for frame in occurrence.frames))
        return scale(middle, 1.0 / len(occurrence.frames))

    def doubt(self, index: int, at: Vector) -> Box | None:
        """The box of a place that has a 'plus or minus', of its own or on the way to it. [m]"""
        occurrence, component = self.ways.found[index], self.component(index)
        off = occurrence.off
        if component.centre_plus_or_minus is not None:
            off = add(off, widest(occurrence.frames, float(component.centre_plus_or_minus.base)))
        return None if off == (0.0, 0.0, 0.0) else (subtract(at, off), add(at, off))

    def among_parts(self, index: int) -> Box | None:
        """The box around the parts of a piece that was weighed as a whole, all of them listed and placed. [m]

        Nothing weighs less than nothing, so the centre of the whole lies among those of its parts.
        """
        component = self.component(index)
        if not component.parts or self.sides[index].part != 1:
            return None
        low: list[Vector] = []
        high: list[Vector] = []
        for below in self.ways.under(index):
            part = self.component(below)
            if part.fluid is not None:
                continue
            if part.parts:
                if part.parts_listed != "all":
                    return None
                continue
            at = self.place(below)
            if at is None:
                return None
            box = self.spread(below) or (at, at)
            low.append(box[0])
            high.append(box[1])
        return around([*low, *high]) if low else None

    def somewhere(self, index: int) -> Box | None:
        """The box that surely holds a piece without a place; None where nothing bounds it. [m]"""
        return self._among_its_places(index) or self.among_parts(index) or self.outline(index)

    def _among_its_places(self, index: int) -> Box | None:
        """Of some of several with a place each it is not told which: the box around all of their centres."""
        occurrence, own = self.ways.found[index], self.own_place(index)
        if own is None or len(occurrence.frames) < 2 or len(occurrence.frames) < occurrence.pieces:
            return None  # one place for a set is its middle, and says nothing of a single one
        spots = [frame.to_parent(own) for frame in occurrence.frames]
        doubts = [self.doubt(index, spot) or (spot, spot) for spot in spots]
        return around([corner for box in doubts for corner in box])

    def spread(self, index: int) -> Box | None:
        """The box that the middle of some placed pieces surely lies in; None where that is exact. [m]"""
        at = self.place(index)
        if at is None:
            return None
        box, frames = self.doubt(index, at), self.ways.found[index].frames
        own = self.own_place(index)
        if len(frames) < 2 or own is None:
            return box
        # Pieces of one line need not be alike in weight to be so many.
        return around([frame.to_parent(own) for frame in frames] + list(box or (at,)))

    def outline(self, index: int) -> Box | None:
        """The recorded outline of a piece without a place, or of the nearest thing that holds it. [m]"""
        here = index
        while True:
            outline = self.component(here).outline
            frames = self.ways.found[here].frames
            if outline is not None and frames:
                return around([f.to_parent(p) for f in frames for p in corners_of(outline.corners())])
            if here == 0:
                return None
            here = self.ways.found[here].parent

    def listed(self, fluids: Sequence[str]) -> Box | None:
        """The box around the places that the part lines of some fluids give; None where one has none. [m]"""
        spots: list[Vector] = []
        for index, occurrence in enumerate(self.ways.found):
            if self.component(index).id not in fluids:
                continue
            if not occurrence.frames:
                return None
            for frame in occurrence.frames:
                spots += [subtract(frame.at, occurrence.off), add(frame.at, occurrence.off)]
        return around(spots) if spots else None

    def own_place(self, index: int) -> Vector | None:
        """The centre of a piece in its own frame; None where it is not known. [m]"""
        occurrence, component = self.ways.found[index], self.component(index)
        own: Vector | None = self.unit.middles[occurrence.node].at
        if own is None and not component.parts:  # without a mass of its own it still has a place
            build = self.ways.tree.nodes[occurrence.node][1]
            own = own_centre(component, build, self.collection.materials)
        return None if own is None or any(math.isnan(v) for v in own) else own


def outline_of(collection: Collection, ways: Ways, group: LiftGroup) -> Box | None:
    """The recorded outline of what is taken, where that is one thing; else of the root."""
    taken = [ways.follow(mention.of) for mention in group.takes]
    for index in (taken[0] if len(taken) == 1 else 0, 0):
        component = collection.components[ways.tree.component(ways.found[index].node)]
        frames = ways.found[index].frames
        if component.outline is not None and len(frames) == 1:
            return around([frames[0].to_parent(p) for p in corners_of(component.outline.corners())])
    return None
