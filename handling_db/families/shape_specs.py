"""Shapes as records describe them: ``{cylinder: {diameter: ..., length: ...}, at: ..., fill: ...}``.

Figures have been read already: lengths in metres, angles in radians, densities in kg/m³. The table
`SHAPES` names every dimension, so that a reader of records can tell a length from a count before it is here.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from handling_db.families.shape_figures import RangeLike, ShapeError
from handling_db.families.shape_table import MODIFIERS, SHAPES, Dimensions
from handling_db.families.shapes import Shape, together, without

Spec: TypeAlias = Mapping[str, Any]

MAX_DEPTH = 8
MAX_SHAPES = 100


_KINDS = (*SHAPES, "sum", "difference")


def shape_from(spec: Spec) -> Shape:
    """Build a shape from its description.

    Parameters
    ----------
    spec : mapping
        One kind of shape with its dimensions, and any of ``at``, ``fill``, ``allowance``, ``density``.
        ``{sum: [spec, ...]}`` adds; ``{difference: {from: spec, cut: [spec, ...]}}`` takes away.

    Returns
    -------
    Shape
        Moved, filled and allowed for as described, in that order.

    Raises
    ------
    ShapeError
        Unknown or missing keys (all of them in one message), a figure that is not a number, or a shape
        that cannot exist; the message starts with where in the description.

    Examples
    --------
    >>> shape_from({"tube": {"outside": 0.472, "inside": 0.436, "length": 0.36}}).volume.__round__(6)
    0.009242
    """
    return _Builder().build(spec, (), 0)


class _Builder:
    """Builds nested descriptions, counting them."""

    def __init__(self) -> None:
        self.count = 0

    def build(self, spec: Spec, path: tuple[str, ...], depth: int) -> Shape:
        self.count += 1
        if depth > MAX_DEPTH or self.count > MAX_SHAPES:
            raise _at(path, f"a description has at most {MAX_SHAPES} shapes, nested {MAX_DEPTH} deep")
        if not isinstance(spec, Mapping):
            raise _at(
                path,
                "a shape is written as its kind with its dimensions, such as cylinder: {diameter, length}",
            )
        kinds = [key for key in spec if key in _KINDS]
        strangers = [key for key in spec if key not in _KINDS and key not in MODIFIERS]
        if strangers:
            raise _at(path, "; ".join(_stranger(key, (*_KINDS, *MODIFIERS)) for key in strangers))
        if len(kinds) != 1:
            named = f"{' and '.join(kinds)} stand together" if kinds else "no kind of shape is named"
            raise _at(path, f"{named}; write one of {', '.join(_KINDS)}")
        kind = kinds[0]
        inside = (*path, kind)
        try:
            return _modified(self.kind(kind, spec[kind], inside, depth), spec, inside)
        except _PlacedError:
            raise
        except ShapeError as error:
            raise _at(inside, str(error)) from None

    def kind(self, kind: str, body: Any, path: tuple[str, ...], depth: int) -> Shape:
        if kind == "sum":
            return together(*self.several(body, path, depth))
        if kind == "difference":
            if not isinstance(body, Mapping) or set(body) != {"from", "cut"}:
                raise _at(path, "write from: a shape, and cut: a list of shapes")
            whole = self.build(body["from"], (*path, "from"), depth + 1)
            return without(whole, *self.several(body["cut"], (*path, "cut"), depth))
        if not isinstance(body, Mapping):
            raise _at(path, f"write its dimensions: {', '.join(SHAPES[kind].required)}")
        return SHAPES[kind].make(**_figures(SHAPES[kind], body, path))

    def several(self, body: Any, path: tuple[str, ...], depth: int) -> list[Shape]:
        if not isinstance(body, Sequence) or isinstance(body, str) or not body:
            raise _at(path, "write a list of shapes, at least one")
        return [self.build(part, (*path, str(i)), depth + 1) for i, part in enumerate(body, start=1)]


class _PlacedError(ShapeError):
    """A fault whose place in the description is in its message already."""


def _at(path: Iterable[str], message: str) -> _PlacedError:
    where = " ".join(path)
    return _PlacedError(f"{where}: {message}" if where else message)


def _stranger(key: Any, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(str(key), list(known), n=1)
    return f"{key!r} is not known here" + (f", did you mean {near[0]!r}?" if near else "")


def _figures(kind: Dimensions, body: Spec, path: tuple[str, ...]) -> dict[str, float]:
    """The dimensions as keyword arguments; every fault in one message."""
    known = (*kind.required, *kind.optional)
    faults = [_stranger(key, known) for key in body if key not in known]
    faults += [f"{key} is missing" for key in kind.required if key not in body]
    made: dict[str, float] = {}
    for key in known:
        if key not in body:
            continue
        try:
            made[key.replace(" ", "_")] = _thread(body[key]) if key == "thread" else _number(body[key])
        except ShapeError as error:
            faults.append(f"{key} {error}")
    if faults:
        raise _at(path, f"{'; '.join(faults)}. It takes {', '.join(known)}")
    return made


def _number(value: Any) -> float:
    if isinstance(value, bool | str) or not hasattr(value, "__float__"):
        raise ShapeError(f"is {value!r}, not a figure")
    return float(value)


def _thread(value: Any) -> float:
    """A thread size: metres, or a text like M16."""
    if isinstance(value, str):
        match = re.fullmatch(r"M(\d{1,3}(?:\.\d)?)(?:\s*x\s*\d(?:\.\d{1,2})?)?", value.strip(), re.ASCII)
        if match is None:
            raise ShapeError(f"is {value!r}; write it like M16 or M16x1.5")
        return float(match[1]) / 1000
    return _number(value)


def _range(value: Any, name: str) -> RangeLike:
    figures = value if isinstance(value, Sequence) and not isinstance(value, str) else [value]
    try:
        read = [_number(figure) for figure in figures]
    except ShapeError as error:
        raise ShapeError(f"{name} {error}") from None
    return read[0] if len(read) == 1 else read


def _modified(shape: Shape, spec: Spec, path: tuple[str, ...]) -> Shape:
    if "at" in spec:
        point = _range(spec["at"], "at")
        if isinstance(point, Sequence):
            if len(point) != 3:
                raise _at(path, "at is one length along x, or a point of three lengths")
            shape = shape.moved((point[0], point[1], point[2]))
        elif isinstance(point, float):
            shape = shape.moved(point)
    if "fill" in spec:
        shape = shape.filled(_range(spec["fill"], "fill"))
    if "allowance" in spec:
        shape = shape.allowed(_range(spec["allowance"], "allowance"))
    if "density" in spec:
        shape = shape.made_of(_range(spec["density"], "density"))
    return shape
