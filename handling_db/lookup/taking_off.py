"""What is said beside a part that may come off by itself: what it carries, closes in or holds inside."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from handling_db.records.collection import Collection
from handling_db.records.in_hand import below
from handling_db.records.parts.three_valued import listed


def off_words(collection: Collection, code: str, parts: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Words for each part of a component, none where the records say nothing.

    Parameters
    ----------
    collection : Collection
        At least the component with everything in it.
    code : str
    parts : iterable of component ids

    Returns
    -------
    dict of component id to sentences
        That it has pick points, that they are carried through it, what it holds in.
    """
    inside = [
        collection.components[one] for one in sorted(below(collection, code)) if one in collection.components
    ]
    points = [(one.component, point) for one in inside for point in listed(one.pick_points)]
    found = {}
    for part in parts:
        own = below(collection, part)
        words = [*_picks(points, own), *_held_in(collection, own)]
        if words:
            found[part] = tuple(dict.fromkeys(words))
    return found


def _picks(points: Iterable[tuple[str, Any]], own: frozenset[str]) -> list[str]:
    """Pick points on the part, and those of other pieces that are carried through it.

    Parameters
    ----------
    points : iterable of (component id, pick point)
    own : ids
        The part and everything in it.
    """
    words = ["has pick points"] if any(code in own for code, _ in points) else []
    through = any(
        path.part in own for code, point in points if code not in own for path in listed(point.through)
    )
    return [*words, "carries the pick points"] if through else words


def _held_in(collection: Collection, own: frozenset[str]) -> list[str]:
    """What stays in only as long as the part is on, where that is recorded."""
    words = []
    for code in sorted(own):
        component = collection.components.get(code)
        for held in listed(getattr(component, "holds_in", None)):
            if held.part in own:
                continue  # goes along with it
            what = collection.components.get(held.part)
            name = what.name if what is not None else held.part
            words.append(f"{'closes in' if what is not None and what.fluid else 'holds in'} {name}")
    return words
