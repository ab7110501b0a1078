"""A truck's data plate: which row to look up, and what two rules of moment say where no row is recorded.

The plate governs. Rows are never interpolated, and no moment figure is above the rated capacity.

References
----------
.. [1] 29 CFR 1910.178, Powered industrial trucks, Appendix A, A-5 (load moment; text read in a copy).
.. [2] Moment about the front axle: statics; same form as used by an attachment supplier (secondary).
.. [3] A load centre shorter than rated does not raise the capacity (secondary, a page based on JIS).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import given, mm, optional
from handling_db.quantities.notice import Facts, Notice

FROM_FORK_FACE = "the distance from fork face to centre of gravity, in metres"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateRow:
    """One row of a truck's data plate."""

    load_centre: float  # [m]
    height: float | None  # highest fork height the row holds for [m]; None: the plate states none
    capacity_kg: float
    attachment: str | None = None  # None: forks alone


def plate_row(
    rows: Sequence[PlateRow],
    *,
    load_centre: float | None,
    lift_height: float | None,
    attachment: str | None = None,
) -> tuple[PlateRow | None, tuple[Notice, ...]]:
    """Choose the data-plate row to look up: next larger load centre and height, nothing in between.

    Parameters
    ----------
    rows : sequence of PlateRow
        All recorded rows of the plate.
    load_centre : float or None
        Actual load centre, patch included. [m]
    lift_height : float or None
        Highest fork height of this move; None: not recorded, then the lowest capacity of any height. [m]
    attachment : str or None
        Jib or attachment in use; only its own rows count. None: forks alone.

    Returns
    -------
    tuple of (PlateRow or None) and tuple of Notice
        The row, or None where no row covers the load, and the cautions. Where several rows cover it and none
        of them is nearer both ways, the one with the lowest capacity.

    Raises
    ------
    MovingInputError
        The load centre is missing, or a figure cannot be one.
    """
    centre = given("the load centre", load_centre, FROM_FORK_FACE)
    height = optional("the lift height", lift_height, "the highest fork height in metres", zero=True)
    for row in rows:
        given("the load centre of a plate row", row.load_centre, "it in metres")
        optional("the height of a plate row", row.height, "it in metres")
        given("the capacity of a plate row", row.capacity_kg, "it in kg", zero=True)
    what = "forks alone" if attachment is None else attachment
    own = [row for row in rows if row.attachment == attachment]
    if not own:
        return None, (Notice("no plate row", {"what": what}),)
    far_enough = [row for row in own if row.load_centre >= centre]
    if not far_enough:
        most = max(row.load_centre for row in own)
        return None, (Notice("plate ends", {"what": what, "at_m": centre, "most_m": most}),)
    cautions: list[Notice] = []
    if height is None:
        cautions.append(Notice("no lift height"))
        nearest = min(row.load_centre for row in far_enough)
        picked = [row for row in far_enough if row.load_centre == nearest]
    else:
        picked = [row for row in far_enough if row.height is not None and row.height >= height]
        # A row without a height covers nothing for certain: only used where no row with a height does,
        # and never past the heights that the plate does state.
        if not picked and all(row.height is None for row in own):
            picked = far_enough
            cautions.append(Notice("plate without height"))
        if not picked:
            stated = [row.height for row in far_enough if row.height is not None]
            highest = mm(max(stated)) if stated else "not recorded"
            facts: Facts = {"what": what, "at_m": centre, "height_m": height, "most": highest}
            return None, (Notice("plate too low", facts),)
        picked = [row for row in picked if not any(_nearer(other, row) for other in picked)]
    chosen = min(picked, key=lambda row: (row.capacity_kg, row.load_centre))
    if len({row.capacity_kg for row in picked}) > 1 and height is not None:
        cautions.append(Notice("several plate rows"))
    return chosen, tuple(cautions)


def _nearer(one: PlateRow, other: PlateRow) -> bool:
    """Tell whether one row is nearer to the load than another: no farther either way, and nearer one way."""
    one_height = float("inf") if one.height is None else one.height
    other_height = float("inf") if other.height is None else other.height
    return (
        one.load_centre <= other.load_centre
        and one_height <= other_height
        and (one.load_centre, one_height) != (other.load_centre, other_height)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentFigures:
    """Two rules of moment side by side: sanity figures, not a capacity. [kg]"""

    by_load_centre_kg: float
    by_axle_kg: float | None  # None: the distance from axle to fork face is not recorded
    figures: tuple[tuple[str, float], ...]  # lower first
    held_at_rated: bool
    cautions: tuple[Notice, ...]

    @property
    def lowest_kg(self) -> float:
        """The lower of the two figures. [kg]"""
        return self.figures[0][1]


def moment_figures(
    *,
    rated_capacity_kg: float | None,
    rated_load_centre: float | None,
    load_centre: float | None,
    axle_to_fork_face: float | None = None,
) -> MomentFigures:
    """Work out what would remain at another load centre, by two rules of moment.

    Parameters
    ----------
    rated_capacity_kg : float or None
        Rated capacity. [kg]
    rated_load_centre : float or None
        Load centre it is rated at. [m]
    load_centre : float or None
        Actual load centre. [m]
    axle_to_fork_face : float or None
        Horizontal distance from the front axle to the fork face; None: not recorded, one rule only. [m]

    Returns
    -------
    MomentFigures
        C A / L [1], and C (a + A) / (a + L) [2]; lower first; neither above the rated capacity [3].

    Raises
    ------
    MovingInputError
        Rated capacity, rated load centre or load centre is missing or cannot be one.

    Examples
    --------
    >>> figures = moment_figures(
    ...     rated_capacity_kg=1500, rated_load_centre=0.5, load_centre=0.6, axle_to_fork_face=0.38
    ... )
    >>> round(figures.by_load_centre_kg), round(figures.by_axle_kg)
    (1250, 1347)

    References
    ----------
    .. [1] 29 CFR 1910.178, Appendix A, A-5: load moment from the fork face, on the low side of the design.
    .. [2] Moment about the front axle, statics (same form as used by an attachment supplier, secondary).
    .. [3] A shorter load centre does not raise the capacity (secondary, a page based on JIS).
    """
    capacity = given("the rated capacity", rated_capacity_kg, "it in kg, from the plate")
    rated = given("the rated load centre", rated_load_centre, "it in metres, from the plate")
    actual = given("the load centre", load_centre, FROM_FORK_FACE)
    axle = optional("the distance from axle to fork face", axle_to_fork_face, "it in metres", zero=True)
    held = actual <= rated
    by_centre = min(capacity, capacity * rated / actual)
    by_axle: float | None = None
    cautions: list[Notice] = []
    if axle is None:
        cautions.append(Notice("one rule of moment"))
    else:
        by_axle = min(capacity, capacity_by_axle(capacity * (axle + rated), axle, actual))
    if held:
        cautions.append(Notice("held at rated"))
    named = [("by load centre", by_centre)]
    if by_axle is not None:
        named.append(("by front axle", by_axle))
    named.sort(key=lambda pair: pair[1])
    return MomentFigures(
        by_load_centre_kg=by_centre,
        by_axle_kg=by_axle,
        figures=tuple(named),
        held_at_rated=held,
        cautions=(*cautions, Notice("sanity figures")),
    )


def capacity_by_axle(truck_moment: float, axle_to_fork_face: float, load_centre: float) -> float:
    """Divide a truck's load moment about its front axle by the distance of the load from that axle.

    The caller holds the answer at the rated capacity; `moment_figures` does.

    Parameters
    ----------
    truck_moment : float
        Load moment about the front axle: mass times distance. [kg m, or any pair of units]
    axle_to_fork_face : float
        Distance from the axle to the fork face. [m, or the same length unit]
    load_centre : float
        Distance from the fork face to the centre of gravity. [same]

    Returns
    -------
    float
        Mass. [kg, or the mass unit of the moment]

    Raises
    ------
    MovingInputError
        A figure is not above zero (the axle distance may be zero).
    """
    moment = given("the truck moment", truck_moment, "mass times distance from the front axle")
    axle = given("the distance from axle to fork face", axle_to_fork_face, "it in metres", zero=True)
    centre = given("the load centre", load_centre, "it in metres")
    return moment / (axle + centre)
