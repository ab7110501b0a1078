"""Crane and jib charts: the printed capacity on the cautious side, never a figure between printed ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError


@dataclass(frozen=True, slots=True)
class ChartEntry:
    """One printed entry of a crane or jib chart."""

    radius_m: float
    boom_m: float | None  # None for a chart without boom lengths
    capacity_kg: float


@dataclass(frozen=True, slots=True)
class Chart:
    """A capacity chart as printed."""

    name: str
    rows: tuple[ChartEntry, ...]
    block_included: bool | None  # whether the chart already allows for the hook block; None: nobody looked


@dataclass(frozen=True, slots=True)
class ChartReading:
    """What the chart gives without reading between its lines."""

    capacity_kg: float
    from_rows: tuple[ChartEntry, ...]  # several: between printed lines, the smallest of them is taken


def read_chart(chart: Chart, radius_m: float, boom_m: float | None = None) -> ChartReading:
    """The printed capacity at the cautious side; never a figure between printed figures.

    Parameters
    ----------
    chart : Chart
        The rows as printed.
    radius_m, boom_m : float
        Radius of the load and boom length; None for a chart without boom lengths. [m]

    Returns
    -------
    ChartReading
        The smallest capacity of the printed neighbours.

    Raises
    ------
    StaticsError
        Outside the chart, or a neighbour is not printed: then there is no rating.

    References
    ----------
    .. [1] US Army TM 5-3810-305-10, note 19: with radius or boom length between listed values, the smaller of
       the two ratings.
    """
    if not chart.rows:
        raise StaticsError(f"{chart.name}: no rows are recorded, so there is no rating.")
    has_boom = any(row.boom_m is not None for row in chart.rows)
    if has_boom and boom_m is None:
        raise StaticsError(f"{chart.name}: this chart needs the boom length.")
    radii = _neighbours(sorted({row.radius_m for row in chart.rows}), radius_m, f"{chart.name}: radius")
    booms: Sequence[float | None] = (None,)
    if has_boom and boom_m is not None:
        lengths = sorted({row.boom_m for row in chart.rows if row.boom_m is not None})
        booms = _neighbours(lengths, boom_m, f"{chart.name}: boom length")
    used = []
    for radius in radii:
        for boom in booms:
            found = [row for row in chart.rows if row.radius_m == radius and row.boom_m == boom]
            if not found:
                at = f"radius {radius:g} m" + ("" if boom is None else f", boom {boom:g} m")
                raise StaticsError(f"{chart.name}: no capacity is printed at {at}: not rated there.")
            used.extend(found)
    return ChartReading(min(row.capacity_kg for row in used), tuple(used))


def _neighbours(printed: list[float], wanted: float, what: str) -> list[float]:
    if wanted in printed:
        return [wanted]
    if not printed[0] <= wanted <= printed[-1]:
        raise StaticsError(
            f"{what} {wanted:g} m is outside the chart ({printed[0]:g} to {printed[-1]:g} m): not rated."
        )
    return [max(p for p in printed if p < wanted), min(p for p in printed if p > wanted)]
