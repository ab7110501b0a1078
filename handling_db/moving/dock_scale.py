"""A scale reading at the receiving shop beside the figures on the paper: both lines, and what to ask."""

from __future__ import annotations

from handling_db.carrying.checks import MovingInputError, given
from handling_db.moving.figures import DockFigure, DockLine, MoveAnswer
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Facts, Notice

ASK = tuple(Notice(f"ask: {what}") for what in ("net or gross", "fluid", "the same things", "the scale"))


def against_scale(answer: MoveAnswer, reading_kg: float | None, doubt_kg: float | None) -> DockFigure:
    """Put a reading beside the gross and the net figure of a move.

    Parameters
    ----------
    answer : MoveAnswer
    reading_kg : float
        What the scale showed. [kg]
    doubt_kg : float
        Half-width of its doubt. [kg]

    Returns
    -------
    DockFigure
        For gross and net: whether the two ranges touch, by how much they lie apart, and what is missing.

    Raises
    ------
    MovingInputError
        The reading or its doubt is missing or cannot be one.
    """
    reading = given("the reading of the scale", reading_kg, "it in kg")
    doubt = given(
        "the doubt of the scale", doubt_kg, "its half-width in kg, from its plate or its check", zero=True
    )
    if doubt >= reading:
        raise MovingInputError(
            f"the doubt of the scale, {doubt:g} kg, is as large as its reading, {reading:g} kg; correct one."
        )
    low, high = reading - doubt, reading + doubt
    lines = [
        _line(name, load, known_high, low, high, answer.missing)
        for name, load, known_high in (
            ("gross", answer.gross, answer.known_highs[0]),
            ("net, with its fluid", answer.net, answer.known_highs[1]),
        )
        if load is not None
    ]
    return DockFigure(low, high, tuple(lines), ASK, Notice("never averaged"))


def _line(
    name: str, load: Amount, known_high: float, low: float, high: float, missing: tuple[str, ...]
) -> DockLine:
    if load.high is None:
        if load.low > high:
            return DockLine(name, load, "apart", load.low - high, None, Notice("parts heavier"))
        left: Facts = {"names": missing, "low_kg": max(0.0, low - known_high), "high_kg": high - load.low}
        return DockLine(name, load, "cannot be checked", None, None, Notice("left to weigh", left))
    if load.low > high:
        return DockLine(name, load, "apart", load.low - high, load.high - low, Notice("paper heavier"))
    if low > load.high:
        return DockLine(name, load, "apart", low - load.high, high - load.low, Notice("scale heavier"))
    return DockLine(name, load, "the ranges touch", None, None, None)
