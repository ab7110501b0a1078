"""The revised NIOSH lifting equation: one end of one lift, in US or in metric units.

The equation gives a figure and an index, never a permission, and leaves out much of what happens in a shop:
what it leaves out comes with every result. Its US and metric sets are not exact conversions of one another
(51 lb is 23.13 kg): a result is worked out in one of them and says which.

References
----------
.. [1] Waters TR, Putz-Anderson V, Garg A, "Applications Manual for the Revised NIOSH Lifting Equation",
   DHHS (NIOSH) Publication No. 94-110 (1994, revised 9/2021): equation and limits p. 7, Tables 1 to 5 and 7
   (read in public copies).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from handling_db.carrying.checks import PERSON_DECIDES, MovingInputError, given, optional, plain
from handling_db.quantities.notice import Notice

Units = Literal["US", "metric"]
Duration = Literal["short", "moderate", "long"]  # up to 1 h, 1 to 2 h, 2 to 8 h
Coupling = Literal["good", "fair", "poor"]

EXCLUSIONS = tuple(map(Notice, ("one hand", "carrying left out", "oily hands", "for one person")))


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitSet:
    """Constants of one of the two sets of [1] p. 7."""

    mass: str
    length: str
    load_constant: float
    reach: float  # horizontal constant and smallest H
    farthest: float  # largest H
    knuckle: float  # V at which the vertical multiplier is 1, and the border between table columns
    slope: float
    highest: float  # largest V
    travel_constant: float
    shortest_travel: float
    longest_travel: float


UNIT_SETS: dict[Units, UnitSet] = {
    "US": UnitSet(
        mass="lb",
        length="in",
        load_constant=51.0,
        reach=10.0,
        farthest=25.0,
        knuckle=30.0,
        slope=0.0075,
        highest=70.0,
        travel_constant=1.8,
        shortest_travel=10.0,
        longest_travel=70.0,
    ),
    "metric": UnitSet(
        mass="kg",
        length="cm",
        load_constant=23.0,
        reach=25.0,
        farthest=63.0,
        knuckle=75.0,
        slope=0.003,
        highest=175.0,
        travel_constant=4.5,
        shortest_travel=25.0,
        longest_travel=175.0,
    ),
}
WIDEST_ASYMMETRY = 135.0  # degrees

# [1] Table 5. Lifts a minute, then per duration (V below, V at or above 30 in or 75 cm). Above 15: nothing.
FREQUENCY_TABLE: tuple[tuple[float, tuple[tuple[float, float], ...]], ...] = (
    (0.2, ((1.00, 1.00), (0.95, 0.95), (0.85, 0.85))),
    (0.5, ((0.97, 0.97), (0.92, 0.92), (0.81, 0.81))),
    (1.0, ((0.94, 0.94), (0.88, 0.88), (0.75, 0.75))),
    (2.0, ((0.91, 0.91), (0.84, 0.84), (0.65, 0.65))),
    (3.0, ((0.88, 0.88), (0.79, 0.79), (0.55, 0.55))),
    (4.0, ((0.84, 0.84), (0.72, 0.72), (0.45, 0.45))),
    (5.0, ((0.80, 0.80), (0.60, 0.60), (0.35, 0.35))),
    (6.0, ((0.75, 0.75), (0.50, 0.50), (0.27, 0.27))),
    (7.0, ((0.70, 0.70), (0.42, 0.42), (0.22, 0.22))),
    (8.0, ((0.60, 0.60), (0.35, 0.35), (0.18, 0.18))),
    (9.0, ((0.52, 0.52), (0.30, 0.30), (0.00, 0.15))),
    (10.0, ((0.45, 0.45), (0.26, 0.26), (0.00, 0.13))),
    (11.0, ((0.41, 0.41), (0.00, 0.23), (0.00, 0.00))),
    (12.0, ((0.37, 0.37), (0.00, 0.21), (0.00, 0.00))),
    (13.0, ((0.00, 0.34), (0.00, 0.00), (0.00, 0.00))),
    (14.0, ((0.00, 0.31), (0.00, 0.00), (0.00, 0.00))),
    (15.0, ((0.00, 0.28), (0.00, 0.00), (0.00, 0.00))),
)
DURATIONS: tuple[Duration, ...] = ("short", "moderate", "long")

# [1] Table 7: V below, V at or above 30 in or 75 cm.
COUPLING_TABLE: dict[Coupling, tuple[float, float]] = {
    "good": (1.00, 1.00),
    "fair": (0.95, 1.00),
    "poor": (0.90, 0.90),
}

# Where the printed tables of [1] differ from its formula at two places; the rounded mode follows the print.
PRINTED_REACH: dict[Units, dict[float, float]] = {"US": {22.0: 0.46, 23.0: 0.44}, "metric": {}}
PRINTED_TRAVEL: dict[Units, dict[float, float]] = {"US": {}, "metric": {130.0: 0.86}}


def half_up(value: float, places: int) -> float:
    """Round as the manual does, a half upward; figures are taken to nine places first.

    Parameters
    ----------
    value : float
        Any figure.
    places : int
        Places after the point.

    Returns
    -------
    float
        Rounded figure.

    Examples
    --------
    >>> half_up(0.745, 2), half_up(1.25, 1)
    (0.75, 1.3)
    """
    step = Decimal(1).scaleb(-places)
    return float(Decimal(f"{value:.9f}").quantize(step, rounding=ROUND_HALF_UP))


def frequency_multiplier(per_minute: float, duration: Duration, vertical: float, units: Units) -> float:
    """Look up the frequency multiplier, on a straight line between the rows.

    Parameters
    ----------
    per_minute : float
        Lifts per minute; below 0.2 counts as 0.2, above 15 gives 0. [1/min]
    duration : str
        "short" (up to 1 h), "moderate" (up to 2 h) or "long" (up to 8 h), recovery included.
    vertical : float
        Height of the hands at the origin of the lift, also for its end. [in] or [cm]
    units : str
        "US" or "metric".

    Returns
    -------
    float
        Multiplier. [-]

    Raises
    ------
    MovingInputError
        A figure cannot be one or a word is not known.

    References
    ----------
    .. [1] NIOSH 94-110, Table 5; interpolation as the manual does for 2.4 a minute.
    """
    rate = given("the lifts per minute", per_minute, "how many, 0.2 for a lift now and then")
    column = DURATIONS.index(_known("duration", duration, DURATIONS))
    side = 0 if vertical < unit_set(units).knuckle else 1
    if rate > FREQUENCY_TABLE[-1][0]:
        return 0.0
    rows = [(row_rate, columns[column][side]) for row_rate, columns in FREQUENCY_TABLE]
    rate = max(rate, rows[0][0])
    for (low, at_low), (high, at_high) in itertools.pairwise(rows):
        if low <= rate <= high:
            return at_low + (at_high - at_low) * (rate - low) / (high - low)
    raise AssertionError("the rows leave no gap")


def _known(what: str, value: str, choices: Sequence[str]) -> str:
    if value not in choices:
        raise MovingInputError(f"{value!r} is no {what} known here: write {', '.join(choices)}.")
    return value


def unit_set(units: str) -> UnitSet:
    """Give the constants of "US" or "metric"; raises MovingInputError for any other word."""
    for name, constants in UNIT_SETS.items():
        if name == units:
            return constants
    raise MovingInputError(f"{units!r} is no unit set known here: write US (lb, in) or metric (kg, cm).")


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftIndex:
    """Recommended weight limit and lifting index at one end of one lift: a figure and an index."""

    units: Units
    rounded: bool
    multipliers: tuple[tuple[str, float], ...]  # HM VM DM AM FM CM
    weight_limit: float  # [lb] or [kg], as units says
    without_frequency: float  # the same with FM = 1
    index: float | None  # load over limit; None: the limit is zero
    reasons: tuple[str, ...]  # why the limit is zero, if it is
    remark: Notice
    cautions: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandReach:
    """The geometry of one end of a lift by hand, in one unit set.

    Parameters
    ----------
    horizontal : float or None
        H, hands from the ankles. [in] or [cm]
    vertical : float or None
        V, hands above the floor at this end of the lift. [in] or [cm]
    travel : float or None
        D, vertical travel. [in] or [cm]
    asymmetry : float or None
        A, turning of the trunk. [degrees]
    per_minute : float or None
        F, lifts per minute. [1/min]
    duration : str
        As in `frequency_multiplier`; see `duration_class`.
    coupling : str
        "good", "fair" or "poor" grip.
    units : str
        "US" for lb and inches, "metric" for kg and cm.
    vertical_at_origin : float or None
        V at the start of the lift, which chooses the frequency column; None: this end is the start.
    """

    horizontal: float | None
    vertical: float | None
    travel: float | None
    asymmetry: float | None
    per_minute: float | None
    duration: Duration
    coupling: Coupling
    units: Units
    vertical_at_origin: float | None = None


def lifting_index(load: float | None, reach: HandReach, *, rounded: bool = False) -> LiftIndex:
    """Work out the recommended weight limit RWL = LC HM VM DM AM FM CM and the lifting index L / RWL.

    Parameters
    ----------
    load : float or None
        Heaviest believable mass of the piece. [lb] or [kg]
    reach : HandReach
    rounded : bool
        As the manual: multipliers from its printed tables to two places, limit and index to one.

    Returns
    -------
    LiftIndex
        Multipliers, limit, index and what the equation leaves out. Never "allowed".

    Raises
    ------
    NotRecordedError
        A figure is missing: nothing is assumed.
    MovingInputError
        A figure cannot be one or a word is not known.

    Examples
    --------
    >>> reach = HandReach(
    ...     horizontal=10, vertical=22, travel=37, asymmetry=0, per_minute=3,
    ...     duration="short", coupling="fair", units="US",
    ... )
    >>> lift = lifting_index(26, reach, rounded=True)
    >>> lift.weight_limit, lift.index
    (34.9, 0.7)

    References
    ----------
    .. [1] NIOSH 94-110 (1994, revised 9/2021), p. 7 and Tables 1 to 5 and 7.
    """
    units = reach.units
    unit = unit_set(units)
    length = f"it in {unit.length}"
    mass = given("the load", load, f"the heaviest believable mass in {unit.mass}")
    h = given("the horizontal distance H", reach.horizontal, length, zero=True)
    v = given("the height of the hands V", reach.vertical, length, zero=True)
    d = given("the vertical travel D", reach.travel, length, zero=True)
    a = given("the turning of the trunk A", reach.asymmetry, "it in degrees, or 0", zero=True)
    f = given("the lifts per minute F", reach.per_minute, "how many, 0.2 for a lift now and then")
    origin = optional("the height of the hands at the origin", reach.vertical_at_origin, length, zero=True)
    side = 0 if v < unit.knuckle else 1
    _known("coupling", reach.coupling, tuple(COUPLING_TABLE))

    reasons: list[str] = []
    for over, name, limit in (
        (h > unit.farthest, "the hands are too far out: H", f"{plain(unit.farthest)} {unit.length}"),
        (v > unit.highest, "the hands are too high: V", f"{plain(unit.highest)} {unit.length}"),
        (d > unit.longest_travel, "the travel is too long: D", f"{plain(unit.longest_travel)} {unit.length}"),
        (a > WIDEST_ASYMMETRY, "the trunk turns too far: A", f"{plain(WIDEST_ASYMMETRY)} degrees"),
    ):
        if over:
            reasons.append(f"{name} is above {limit}")
    hm = 0.0 if h > unit.farthest else unit.reach / max(h, unit.reach)
    vm = 0.0 if v > unit.highest else 1.0 - unit.slope * abs(v - unit.knuckle)
    dm = 0.0
    if d <= unit.longest_travel:
        dm = min(1.0, 0.82 + unit.travel_constant / max(d, unit.shortest_travel))
    am = 0.0 if a > WIDEST_ASYMMETRY else 1.0 - 0.0032 * a
    fm = frequency_multiplier(f, reach.duration, v if origin is None else origin, units)
    if fm == 0.0:
        reasons.append(f"the table gives nothing for {plain(f)} lifts a minute over this time")
    cm = COUPLING_TABLE[reach.coupling][side]
    if rounded:
        hm = PRINTED_REACH[units].get(h, half_up(hm, 2))
        dm = PRINTED_TRAVEL[units].get(d, half_up(dm, 2))
        vm, am, fm = half_up(vm, 2), half_up(am, 2), half_up(fm, 2)
    without_frequency = unit.load_constant * hm * vm * dm * am * cm
    limit_mass = without_frequency * fm
    if rounded:
        without_frequency, limit_mass = half_up(without_frequency, 1), half_up(limit_mass, 1)
    index = None if limit_mass == 0.0 else mass / limit_mass
    if rounded and index is not None:
        index = half_up(index, 1)
    return LiftIndex(
        units=units,
        rounded=rounded,
        multipliers=(("HM", hm), ("VM", vm), ("DM", dm), ("AM", am), ("FM", fm), ("CM", cm)),
        weight_limit=limit_mass,
        without_frequency=without_frequency,
        index=index,
        reasons=tuple(reasons),
        remark=remark_on(index, reasons),
        cautions=(
            *EXCLUSIONS,
            Notice("in one unit set", {"mass": unit.mass, "length": unit.length}),
            PERSON_DECIDES,
        ),
    )


def remark_on(index: float | None, reasons: Sequence[str]) -> Notice:
    """Say where an index lies beside the two figures the manual names, 1.0 and 3.0; not what may be done."""
    if index is None:
        return Notice("limit is zero", {"reasons": tuple(reasons)})
    kind = "index far above" if index > 3.0 else "index above" if index > 1.0 else "index not above"
    return Notice(kind, {"index": plain(round(index, 2))})
