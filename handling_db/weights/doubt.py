"""How far a figure may be out: what is stated, else half the step or what its kind of source usually has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from handling_db.quantities.mass import Mass, within
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.records.parts.measures import Percent
from handling_db.weights.columns import Columns

Doubt = Literal[
    "stated", "stated as u", "half the step", "usual for its kind", "both columns", "all of its source alike"
]


@dataclass(frozen=True, slots=True)
class ReadFigure:
    """One figure as its source has it.

    Parameters
    ----------
    best : Fraction
        The figure. [kg]
    step : Fraction
        Its step of rounding, 0 where it has none. [kg]
    stated : Fraction, optional
        A half-width that the source states. [kg]
    u : Quantity, optional
        A standard uncertainty that it states instead.
    columns : Columns, optional
        Two columns of one source, whose limits then take the place of half the step.
    readings : sequence of Quantity
        What was read, for the step of an instrument that states none.
    """

    best: Fraction
    step: Fraction
    stated: Fraction | None
    u: Quantity | None = None
    columns: Columns | None = None
    readings: Sequence[Quantity] = ()


def doubt_of(figure: ReadFigure, source: Source, kind: SourceKind) -> tuple[Mass, Doubt]:
    """A figure with its half-widths: the stated ones, else the larger of half the step and the usual doubt.

    Parameters
    ----------
    figure : ReadFigure
    source, kind
        Where it comes from; the source's instrument adds its calibration doubt, and what all its figures may
        be off alike is part of the doubt of each.

    Returns
    -------
    (Mass, Doubt)
        And where the half-width came from.
    """
    best, stated, columns = figure.best, figure.stated, figure.columns
    instrument = source.instrument
    calibration: dict[str, Fraction] = {}
    if instrument is not None and instrument.calibration_doubt is not None:
        calibration = {source.id: instrument.calibration_doubt.base}
    alike = _off_alike(source, best)
    if stated is not None:
        return within(best, stated, stated, shared=_no_more_than(calibration | alike, stated)), "stated"
    if figure.u is not None:
        half = 2 * figure.u.base
        return within(
            best, half, half, u=float(figure.u.base), shared=_no_more_than(calibration | alike, half)
        ), ("stated as u")
    below = above = figure.step / 2
    doubt_from: Doubt = "half the step"
    if columns is not None:
        below, above, doubt_from = best - columns.low, columns.high - best, "both columns"
    usual_below, usual_above = usual_doubt(kind, best, _instrument_step(source, figure.readings, figure.step))
    if usual_below > below or usual_above > above:
        below, above, doubt_from = max(below, usual_below), max(above, usual_above), "usual for its kind"
    common = sum(alike.values(), start=Fraction(0))
    if common > below or common > above:
        below, above, doubt_from = max(below, common), max(above, common), "all of its source alike"
    extra = sum(calibration.values(), start=Fraction(0))
    return within(best, below + extra, above + extra, shared=calibration | alike), doubt_from


def _off_alike(source: Source, best: Fraction) -> dict[str, Fraction]:
    """What all figures of a source may be off the same way, as a part of the doubt of one. [kg]"""
    share = source.all_off_alike
    if share is None:
        return {}
    half = share.of(best) if isinstance(share, Percent) else share.base
    return {f"{source.id}, all alike": half}


def _no_more_than(shared: Mapping[str, Fraction], half: Fraction) -> dict[str, Fraction]:
    """A stated doubt already holds what is shared: together that cannot be larger than the whole."""
    found: dict[str, Fraction] = {}
    for name, one in shared.items():
        found[name] = min(one, half - sum(found.values(), start=Fraction(0)))
    return found


def _instrument_step(source: Source, readings: Iterable[Quantity], step: Fraction) -> Fraction:
    """Step of the instrument, once for each reading that the figure was worked out from. [kg]

    Where the instrument states none, the coarser of what the digits suggest and of the step of the figure.
    """
    steps = [reading.step_base for reading in readings]
    if source.instrument is not None and source.instrument.step is not None:
        return source.instrument.step.base * max(len(steps), 1)
    return max(max(steps) * len(steps), step) if steps else Fraction(0)


def usual_doubt(kind: SourceKind, best: Fraction, step: Fraction) -> tuple[Fraction, Fraction]:
    """The half-widths below and above that this kind of source usually has. [kg]

    Parameters
    ----------
    kind : SourceKind
        With the basis of its figures; most are common practice without a source.
    best : Fraction
        The figure. [kg]
    step : Fraction
        Step of the instrument. [kg]
    """
    flat = Fraction(0)
    if kind.at_least is not None:
        flat = max(flat, kind.at_least.base)
    if kind.steps is not None:
        flat = max(flat, Fraction(kind.steps) * step)
    if kind.percent is not None:
        flat = max(flat, best * Fraction(kind.percent) / 100)
    below = max(flat, best * Fraction(kind.below_percent or 0) / 100)
    above = max(flat, best * Fraction(kind.above_percent or 0) / 100)
    return below, above
