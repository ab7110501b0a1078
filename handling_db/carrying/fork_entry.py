"""Where the load sits on the forks: actual load centre, sideways offset, height of the centre of gravity.

References
----------
.. [1] ISO 5053 / 1074 / 22915 family, term entry of the load centre distance (read).
.. [2] ISO 22915-10 and -20, scope texts on offset loads (read).
.. [3] Same entry as [1] for the standard distances (number per row read, columns our reading).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import MovingInputError, given, optional
from handling_db.quantities.notice import Notice

Side = Literal["low x", "high x", "low y", "high y"]
SIDES: tuple[Side, ...] = ("low x", "high x", "low y", "high y")

# [2] Above this sideways offset it is substantial: up to which rated capacity in kg, included or not; metres.
OFFSET_LIMITS: tuple[tuple[float, bool, float], ...] = (
    (5000.0, False, 0.100),
    (10000.0, True, 0.150),
    (20000.0, False, 0.250),
    (float("inf"), True, 0.350),
)

# [3] Standard and optional load centre distances in metres. How many per row was read; which column each
# stands in is our reading of a running text.
STANDARD_LOAD_CENTRES: tuple[tuple[float, bool, tuple[float, ...], tuple[float, ...]], ...] = (
    (1000.0, False, (0.400,), (0.500, 0.600)),
    (5000.0, False, (0.500,), (0.600,)),
    (10000.0, True, (0.600,), ()),
    (20000.0, False, (0.600, 0.900, 1.200), ()),
    (25000.0, False, (0.900, 1.200), ()),
    (float("inf"), True, (1.200, 1.500), ()),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryFigure:
    """Where the centre of gravity sits when the forks come in from one side. [m]

    Parameters
    ----------
    made_for : str
        Whether the pallet is recorded as made to be entered from there: yes, or not recorded.
    load_centre, load_centre_high : float
        From the fork face; with the patch of the centre: look this one up.
    sideways, sideways_high : float
        To the driver's right; the largest distance to either side, patch included.
    offset_limit : float or None
        Above this the offset is substantial [2]; None: rated capacity not recorded.
    offset_word : str
        substantial, may be substantial, not substantial, not known.
    """

    side: Side
    made_for: str = "not recorded"
    load_centre: float
    load_centre_high: float
    sideways: float
    sideways_high: float
    offset_limit: float | None
    offset_word: Literal["substantial", "may be substantial", "not substantial", "not known"]
    cautions: tuple[Notice, ...]


def offset_limit(rated_capacity_kg: float) -> float:
    """Give the sideways offset above which ISO 22915 treats a load as substantially offset.

    Parameters
    ----------
    rated_capacity_kg : float
        Rated capacity of the truck. [kg]

    Returns
    -------
    float
        100, 150, 250 or 350 mm. [m]

    Raises
    ------
    MovingInputError
        The capacity is not above zero.

    References
    ----------
    .. [1] ISO 22915-10 and -20, scope texts (read): < 5 000, 5 000 to 10 000, up to < 20 000, >= 20 000 kg.
    """
    capacity = given("the rated capacity", rated_capacity_kg, "it in kg, from the plate")
    for up_to, included, limit in OFFSET_LIMITS:
        if capacity < up_to or (included and capacity == up_to):
            return limit
    raise AssertionError("the last row has no end")


@dataclass(frozen=True, slots=True, kw_only=True)
class Forks:
    """What of a truck says how a load sits on it. None where nobody recorded it."""

    rated_capacity_kg: float | None = None  # for the offset limit
    length: float | None = None  # of the blades [m]
    spread: float | None = None  # between the middles of the two blades [m]


def entry(
    side: Side,
    *,
    footprint: tuple[float, float],
    centre: tuple[float, float],
    patch: tuple[float, float] | None,
    forks: Forks,
    stand_off: float = 0.0,
) -> EntryFigure:
    """Work out the actual load centre and the sideways offset for one entry side.

    Parameters
    ----------
    side : str
        Which side of the footprint faces the truck: "low x", "high x", "low y" or "high y".
    footprint : tuple of two float
        Length along x and width along y of the pallet, or of what the fork face touches. [m]
    centre : tuple of two float
        Centre of gravity of everything on the forks, from the middle of the footprint; z is up. [m]
    patch : tuple of two float or None
        Half-widths of the doubt of the centre along x and y; None: not recorded, which is said. [m]
    forks : Forks
        The truck's.
    stand_off : float
        Gap left between fork face and footprint; adds to the load centre. [m]

    Returns
    -------
    EntryFigure
        Load centre and offset, each also with the patch, and cautions.

    Raises
    ------
    MovingInputError
        A figure is missing or cannot be one, or the side is not one of the four.
    """
    if side not in SIDES:
        raise MovingInputError(f"{side!r} is no entry side: write one of {', '.join(SIDES)}.")
    along = 0 if side.endswith("x") else 1
    across = 1 - along
    inward = 1.0 if side.startswith("low") else -1.0
    length = given(f"the footprint along {'xy'[along]}", footprint[along], "it in metres")
    given(f"the footprint along {'xy'[across]}", footprint[across], "it in metres")
    place = tuple(
        given(f"the centre of gravity along {axis}", value, "it in metres from the middle", signed=True)
        for axis, value in zip("xy", centre, strict=True)
    )
    gap = given("the stand-off of the load from the fork face", stand_off, "it in metres, or 0", zero=True)
    doubt = (0.0, 0.0) if patch is None else patch
    for axis, value in zip("xy", doubt, strict=True):
        given(f"the doubt of the centre of gravity along {axis}", value, "a half-width in metres", zero=True)

    load_centre = gap + length / 2.0 + inward * place[along]
    if load_centre - doubt[along] <= 0.0:
        raise MovingInputError(
            f"Entering from the {side} side the centre of gravity would lie behind the fork face; "
            "check the footprint and the centre: both are taken from the middle of the footprint, in metres."
        )
    # Seen from above, z up: driving toward +x has +y on the left, driving toward +y has +x on the right.
    sideways = place[across] * inward * (-1.0 if along == 0 else 1.0)
    load_centre_high = load_centre + doubt[along]
    sideways_high = abs(sideways) + doubt[across]

    cautions = [Notice("forks for one point")] if patch is None else []
    limit = None if forks.rated_capacity_kg is None else offset_limit(forks.rated_capacity_kg)
    word: Literal["substantial", "may be substantial", "not substantial", "not known"]
    if limit is None:
        word = "not known"
        cautions.append(Notice("no offset limit"))
    elif sideways_high > limit:
        word = "substantial" if abs(sideways) - doubt[across] > limit else "may be substantial"
        cautions.append(Notice("offset", {"side": side, "off_m": sideways_high, "limit_m": limit}))
    else:
        word = "not substantial" if patch is not None else "not known"
    long = optional("the fork length", forks.length, "it in metres")
    if long is None:
        cautions.append(Notice("no fork length"))
    elif load_centre_high >= long:
        cautions.append(Notice("centre not over the forks", {"at_m": load_centre_high, "length_m": long}))
    elif long < gap + length:
        cautions.append(Notice("forks end short", {"short_m": gap + length - long}))
    spread = optional("the fork spread", forks.spread, "it in metres")
    if spread is None:
        cautions.append(Notice("no fork spread"))
    elif sideways_high >= spread / 2.0:
        cautions.append(Notice("centre outside the forks", {"off_m": sideways_high, "spread_m": spread}))
    return EntryFigure(
        side=side,
        load_centre=load_centre,
        load_centre_high=load_centre_high,
        sideways=sideways,
        sideways_high=sideways_high,
        offset_limit=limit,
        offset_word=word,
        cautions=tuple(cautions),
    )
