"""How far a figure may be out: what is stated, else half the step or what its kind of source usually has."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Literal

from handling_db.quantities.mass import Mass, within
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.weights.columns import Columns

Doubt = Literal["stated", "stated as u", "half the step", "usual for its kind", "both columns"]


def doubt_of(
    best: Fraction,
    step: Fraction,
    source: Source,
    kind: SourceKind,
    stated: Fraction | None,
    u: Quantity | None,
    columns: Columns | None,
    readings: Iterable[Quantity],
) -> tuple[Mass, Doubt]:
    """A figure with its half-widths: the stated ones, else the larger of half the step and the usual doubt.

    Parameters
    ----------
    best : Fraction
        The figure. [kg]
    step : Fraction
        Its step of rounding, 0 where it has none. [kg]
    source, kind
        Where it comes from; the source's instrument adds its calibration doubt.
    stated : Fraction, optional
        A half-width that the source states. [kg]
    u : Quantity, optional
        A standard uncertainty that it states instead.
    columns : Columns, optional
        Two columns of one source, whose limits then take the place of half the step.
    readings : iterable of Quantity
        What was read, for the step of an instrument that states none.

    Returns
    -------
    (Mass, Doubt)
        And where the half-width came from.
    """
    instrument = source.instrument
    calibration = None
    if instrument is not None and instrument.calibration_doubt is not None:
        calibration = (source.id, instrument.calibration_doubt.base)
    if stated is not None:
        return within(best, stated, stated, calibration=_no_more_than(calibration, stated)), "stated"
    if u is not None:
        half = 2 * u.base
        return within(best, half, half, u=float(u.base), calibration=_no_more_than(calibration, half)), (
            "stated as u"
        )
    below = above = step / 2
    doubt_from: Doubt = "half the step"
    if columns is not None:
        below, above, doubt_from = best - columns.low, columns.high - best, "both columns"
    usual_below, usual_above = usual_doubt(kind, best, _instrument_step(source, readings))
    if usual_below > below or usual_above > above:
        below, above, doubt_from = max(below, usual_below), max(above, usual_above), "usual for its kind"
    extra = calibration[1] if calibration else Fraction(0)
    return within(best, below + extra, above + extra, calibration=calibration), doubt_from


def _no_more_than(calibration: tuple[str, Fraction] | None, half: Fraction) -> tuple[str, Fraction] | None:
    """A stated doubt already holds the calibration's part: it cannot be larger than the whole."""
    return (calibration[0], min(calibration[1], half)) if calibration else None


def _instrument_step(source: Source, readings: Iterable[Quantity]) -> Fraction:
    """Step of the instrument, once for each reading that the figure was worked out from. [kg]"""
    steps = [reading.step_base for reading in readings]
    if source.instrument is not None and source.instrument.step is not None:
        return source.instrument.step.base * max(len(steps), 1)
    return max(steps, default=Fraction(0)) * len(steps)


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
