"""The way: what is carried, in its attitude, against the narrowest door and the lowest beam of a route."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import MovingInputError, optional
from handling_db.quantities.notice import Notice

Fit = Literal["does not go through", "room left", "not recorded"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door, gate, aisle or beam on the way. [m]"""

    name: str
    width: float | None  # clear width; None: not recorded
    height: float | None  # clear height; None: not recorded
    open_above: bool = False  # somebody looked: nothing overhead
    open_aside: bool = False  # somebody looked: nothing at the sides, as under a lone beam


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One opening beside what is carried."""

    name: str
    room_straight: float | None  # width left with the length along the way [m]; negative: short by so much
    room_turned: float | None  # width left with the width along the way [m]
    room_above: float | None  # height left [m]
    straight: Fit
    turned: Fit
    above: Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Every opening of a route, the tightest ones by name, and what is not recorded."""

    passages: tuple[Passage, ...]
    narrowest: tuple[str, float] | None  # among the recorded ones [m]
    lowest: tuple[str, float] | None  # among the recorded ones [m]
    straight: Fit  # whole route, length along the way
    turned: Fit  # whole route, width along the way
    not_recorded: tuple[str, ...]
    cautions: tuple[Notice, ...]


def along_the_way(
    *,
    length: float | None,
    width: float | None,
    height: float | None,
    carried_at: float | None,
    openings: Sequence[Opening],
    turning_room: str | None = None,
) -> Way:
    """Put length, width and height in this attitude against every opening of a route.

    Parameters
    ----------
    length, width, height : float or None
        Of what is carried in the attitude it travels in, packing included; None: not recorded. [m]
    carried_at : float or None
        Height of its underside above the floor while it moves; None: not recorded. [m]
    openings : sequence of Opening
        Doors, gates, aisles and beams in order.
    turning_room : str or None
        What is stated about room to turn; it is repeated and not worked out.

    Returns
    -------
    Way
        Room left at each opening both ways round, narrowest and lowest, what is not recorded. A dimension
        that is not recorded never counts as room.

    Raises
    ------
    MovingInputError
        A figure is not above zero (the carrying height may be zero), or an opening has a name twice.
    """
    names = [opening.name for opening in openings]
    if len(set(names)) < len(names):
        raise MovingInputError("Two openings have one name: give each a name of its own.")
    size_length = optional("the length", length, "it in metres")
    size_width = optional("the width", width, "it in metres")
    size_height = optional("the height", height, "it in metres")
    lift = optional("the height it is carried at", carried_at, "it in metres above the floor", zero=True)
    top = None if size_height is None or lift is None else size_height + lift
    passages = []
    missing = [
        name
        for name, value in (
            ("length of the load", size_length),
            ("width of the load", size_width),
            ("height of the load", size_height),
            ("height it is carried at", lift),
        )
        if value is None
    ]
    for opening in openings:
        clear_width = optional(f"the width of {opening.name}", opening.width, "it in metres")
        clear_height = optional(f"the height of {opening.name}", opening.height, "it in metres")
        if clear_width is None and not opening.open_aside:
            missing.append(f"width of {opening.name}")
        if clear_height is None and not opening.open_above:
            missing.append(f"height of {opening.name}")
        straight = _room(clear_width, size_width, opening.open_aside)
        turned = _room(clear_width, size_length, opening.open_aside)
        above = _room(clear_height, top, opening.open_above)
        passages.append(
            Passage(
                name=opening.name,
                room_straight=straight[1],
                room_turned=turned[1],
                room_above=above[1],
                straight=straight[0],
                turned=turned[0],
                above=above[0],
            )
        )
    widths = [(one.width, one.name) for one in openings if one.width is not None]
    heights = [(one.height, one.name) for one in openings if one.height is not None]
    cautions = [] if openings else [Notice("no opening")]
    if missing:
        cautions.append(Notice("way not recorded", {"names": tuple(missing)}))
    for one in passages:
        if one.above == "does not go through" and one.room_above is not None:
            cautions.append(Notice("too low", {"name": one.name, "short_m": -one.room_above}))
        if one.straight == one.turned == "does not go through" and one.room_straight is not None:
            cautions.append(Notice("too narrow", {"name": one.name}))
    cautions.append(Notice("turning room", {"stated": turning_room or "nothing is recorded"}))
    cautions.append(Notice("no clearance"))
    return Way(
        passages=tuple(passages),
        narrowest=_least(widths),
        lowest=_least(heights),
        straight=_whole([fit for one in passages for fit in (one.straight, one.above)]),
        turned=_whole([fit for one in passages for fit in (one.turned, one.above)]),
        not_recorded=tuple(missing),
        cautions=tuple(cautions),
    )


def _room(clear: float | None, needed: float | None, nothing_there: bool) -> tuple[Fit, float | None]:
    """Room left in one direction. Exactly as large as the opening does not go through."""
    if clear is None:
        return ("room left", None) if nothing_there else ("not recorded", None)
    if needed is None:
        return "not recorded", None
    return ("room left" if needed < clear else "does not go through"), clear - needed


def _whole(fits: Sequence[Fit]) -> Fit:
    """One word for a whole route: what is short wins, then what is not recorded."""
    if "does not go through" in fits:
        return "does not go through"
    return "not recorded" if not fits or "not recorded" in fits else "room left"


def _least(named: Sequence[tuple[float, str]]) -> tuple[str, float] | None:
    if not named:
        return None
    size, name = min(named)
    return name, size
