"""Whether two answers say the same: texts alike, numbers to a relative 1e-12."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from handling_db.weights.answer import WeightAnswer


def differences(one: Any, other: Any, where: str = "", scale: float = 0.0) -> list[str]:
    """What differs, each with its place; numbers may be off by 1e-12 of themselves or of the scale."""
    if is_dataclass(one):
        if type(one) is not type(other):
            return [f"{where}: {one!r} and {other!r}"]
        scale = max(
            (abs(float(getattr(one, name, None) or 0)) for name in ("high", "parts_high")), default=0.0
        )
        return [
            told
            for field in fields(one)
            for told in differences(
                getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}", scale
            )
        ]
    if isinstance(one, tuple):
        if not isinstance(other, tuple) or len(one) != len(other):
            return [f"{where}: {one!r} and {other!r}"]
        return [
            told
            for place, (mine, theirs) in enumerate(zip(one, other, strict=True))
            for told in differences(mine, theirs, f"{where}[{place}]", scale)
        ]
    if isinstance(one, Fraction | float | int) and not isinstance(one, bool):
        near = other is not None and abs(float(one) - float(other)) <= 1e-12 * max(1.0, abs(one), scale)
        return [] if near else [f"{where}: {one!r} and {other!r}"]
    return [] if one == other else [f"{where}: {one!r} and {other!r}"]


def plainer(answer: WeightAnswer) -> WeightAnswer:
    """An answer without what a large table leaves to the asking, and its lists in the order of ids."""

    def in_order(named: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(sorted(named, key=lambda one: one.id))

    states = tuple(
        replace(
            state,
            half_width_rss=None,
            u=None,
            centre=None,
            no_place=(),
            unknown=in_order(state.unknown),
            open_lists=in_order(state.open_lists),
        )
        for state in answer.states
    )
    vague = ("no mass", "without a mass", "is inferred")
    statements = tuple(
        replace(one, because="" if any(words in one.because for words in vague) else one.because)
        for one in answer.statements
    )
    parts = tuple(replace(part, line="", centre=None) for part in answer.parts)
    return replace(answer, states=states, statements=statements, parts=parts)
