"""The picture of the weight: a strip of the tree, width by mass, hatched by how well each is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from handling_db.lookup.listings import Branch
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import LINE, Box, Label, Placing, width_of, written
from handling_db.web.drawings.units import mass_text, span_text
from handling_db.weights.answer import PartFigure, StateFigure

_EDGE = 6.0
_ROW = 46.0
_LEAST = 0.04  # share of the width that a part gets of which nothing at all is known
_NAMED = 0.07  # share from which on a part is named even where its box is too narrow for it
_ROWS_BELOW = 5

# How well a mass is known, with what is written beside the sample.
WEIGHED, TOLD, INFERRED, UNKNOWN = "weighed", "told", "inferred", "unknown"
WORDS = {
    WEIGHED: "weighed, or summed",
    TOLD: "from a list or a shape",
    INFERRED: "inferred, drawn up to its most",
    UNKNOWN: "not known",
}

# Names of kinds of source that are weighings, and of what is worked out from figures, as answers print them.
WEIGHINGS = frozenset(
    (
        "weighed on a scale", "weighed one end at a time", "read on a hook load cell",
        "weighbridge, by difference", "lift truck gauge",
        "sum of parts", "all figures together", "litres times density", "whole, not from parts",
    )
)  # fmt: skip
INFERENCES = frozenset(
    ("inferred from a weighed whole", "nobody weighed it; inferred", "nobody weighed it; guessed")
)


@dataclass(frozen=True, slots=True)
class _Cell:
    """One part: how wide it is drawn, how much of that is certain, how well it is known."""

    name: str
    told: str
    wide: float
    certain: float
    known: str
    below: tuple[_Cell, ...] = ()


def weight_strip(
    name: str, state: StateFigure, branches: Sequence[Branch], *, first: str = "kg"
) -> Markup | None:
    """The strip of one component: itself, its parts, and theirs below.

    Parameters
    ----------
    name : str
    state : StateFigure
        The figure of the whole that is shown. [kg]
    branches : sequence of Branch
        Its part lines, opened as far as they are to be drawn.
    first : str
        kg or lb.

    Returns
    -------
    Markup or None
        None where it lists no parts.
    """
    if not branches:
        return None
    known = sum(_upper(branch.part) for branch in branches)
    blank = known * _LEAST or 1.0
    cells = tuple(_cell(branch, blank, 1, first) for branch in branches)
    deep = max(map(_depth, cells))
    total = sum(cell.wide for cell in cells)
    told = f"{'' if state.complete else 'at least '}{_mass(float(state.best), first)}"
    top = _Cell(name, told, total, total, WEIGHED, cells)
    placing = Placing(Box(_EDGE, _EDGE + (deep + 1) * _ROW + 6, WIDTH - _EDGE, _EDGE + (deep + 1) * _ROW + 8))
    shapes = _rows(top, placing, (WIDTH - 2 * _EDGE) / total)
    return _drawn(top, placing, shapes)


def _depth(cell: _Cell) -> int:
    return 1 + max(map(_depth, cell.below), default=0)


def _mass(kg: float, first: str) -> str:
    return mass_text(kg, first, doubt=max(abs(kg) / 500, 0.05))


def _upper(part: PartFigure) -> float:
    return float((part.high if _how(part) == INFERRED else part.best) * part.quantity)


def _how(part: PartFigure) -> str:
    if not part.known:
        return UNKNOWN
    if part.basis in INFERENCES:
        return INFERRED
    return WEIGHED if part.basis in WEIGHINGS else TOLD


def _cell(branch: Branch, blank: float, deeper: int, first: str) -> _Cell:
    part = branch.part
    below = tuple(_cell(one, blank, deeper - 1, first) for one in branch.below) if deeper > 0 else ()
    how = _how(part)
    pieces = "" if part.quantity == 1 else f"{float(part.quantity):g} × "
    if how == UNKNOWN:
        return _Cell(f"{pieces}{part.name}", "not known", blank, 0.0, how)
    # a whole that was weighed may be more than its parts, and parts that are not all listed less
    wide = max(_upper(part), sum(one.wide for one in below), blank / 50)
    if how == INFERRED:
        told = span_text(part.low * part.quantity, part.high * part.quantity, first)
    else:
        told = _mass(float(part.best * part.quantity), first)
        told = told if part.complete else f"at least {told}"
    return _Cell(f"{pieces}{part.name}", told, wide, float(part.low * part.quantity), how, below)


def _rows(top: _Cell, placing: Placing, scale: float) -> list[str]:
    """Every box of every row; what is too narrow for its own words is named under the strip."""
    shapes: list[str] = []
    beside: list[tuple[bool, Label]] = []  # what is not known goes first
    row = [(top, _EDGE)]
    level = 0
    while row:
        following = []
        up = _EDGE + level * _ROW
        for cell, left in row:
            box = Box(left, up, left + cell.wide * scale, up + _ROW)
            shapes.append(_box(cell, box, scale))
            shapes += _inside(cell, box)
            if (
                level == 1
                and not _fits(cell.name, box)
                and (cell.wide / top.wide >= _NAMED or cell.known in (INFERRED, UNKNOWN))
            ):
                at = ((box.left + box.right) / 2, box.bottom - 12)
                beside.append((cell.known == UNKNOWN, Label(f"{cell.name}: {cell.told}", at)))
            across = left
            for one in cell.below:
                following.append((one, across))
                across += one.wide * scale
        row, level = following, level + 1
    unknown = [label for gap, label in beside if gap]
    others = [label for gap, label in beside if not gap]
    placing.put([*unknown, *others[: max(_ROWS_BELOW - len(unknown), 0)]])
    return shapes


def _fits(text: str, box: Box) -> bool:
    return width_of(text) <= box.right - box.left - 8


def _inside(cell: _Cell, box: Box) -> list[str]:
    """Name and figure inside the box, as far as they go into it."""
    if not _fits(cell.name, box):
        return []
    lines = [cell.name] + ([cell.told] if _fits(cell.told, box) else [])
    middle = Box(box.left, box.top + (_ROW - LINE * len(lines)) / 2, box.right, box.bottom)
    return [written(lines, middle)]


def _box(cell: _Cell, box: Box, scale: float) -> str:
    kind = "cell open" if cell.known == UNKNOWN else "cell"
    wide, tall = box.right - box.left, box.bottom - box.top
    shape = (
        f'<rect class="{kind} {cell.known}" x="{box.left:.1f}" y="{box.top:.1f}" width="{wide:.1f}" '
        f'height="{tall:.1f}"/>'
    )
    if cell.known == INFERRED:
        sure = Box(box.left, box.top, min(box.left + cell.certain * scale, box.right), box.bottom)
        line = f'<path class="range" d="M{sure.right:.1f} {box.top:.1f}V{box.bottom:.1f}"/>'
        return shape + _hatched(sure, 6.0) + _hatched(Box(sure.right, *_rest(box)), 12.0) + line
    return shape + (_dotted(box) if cell.known == TOLD else "")


def _rest(box: Box) -> tuple[float, float, float]:
    return box.top, box.right, box.bottom


def _hatched(box: Box, apart: float) -> str:
    """Lines from low left to high right, cut at the box."""
    tall = box.bottom - box.top
    lines = []
    start = box.left - tall + apart / 2
    while start < box.right:
        low, high = max(start, box.left), min(start + tall, box.right)
        if high > low:
            lines.append(
                f"M{low:.1f} {box.bottom - (low - start):.1f}L{high:.1f} {box.bottom - (high - start):.1f}"
            )
        start += apart
    return f'<path class="hatch" d="{"".join(lines)}"/>' if lines else ""


def _dotted(box: Box) -> str:
    dots = []
    down = box.top + 5.0
    while down < box.bottom - 2:
        across = box.left + 5.0
        while across < box.right - 2:
            dots.append(f"M{across:.1f} {down:.1f}h.01")
            across += 8.0
        down += 8.0
    return f'<path class="dots" d="{"".join(dots)}"/>' if dots else ""


def _drawn(top: _Cell, placing: Placing, shapes: list[str]) -> Markup:
    used = {cell.known for cell in _all(top)}
    legend, y, x = [], placing.bottom + 8.0, _EDGE
    for known in (WEIGHED, TOLD, INFERRED, UNKNOWN):
        if known not in used:
            continue
        wide = 24 + width_of(WORDS[known]) + 14
        if x > _EDGE and x + wide > WIDTH - _EDGE:
            x, y = _EDGE, y + 24
        sample = Box(x, y, x + 18, y + 16)
        legend.append(_box(_Cell("", "", 18.0, 9.0, known), sample, 1.0))
        legend.append(f'<text x="{x + 24:.1f}" y="{y + 13.5:.1f}">{escape(WORDS[known])}</text>')
        x += wide
    height = y + 26
    parts = "; ".join(f"{cell.name} {cell.told} ({WORDS[cell.known]})" for cell in top.below)
    says = f"What {top.name} weighs, {top.told}, drawn by mass: {parts}"
    return framed(says, height, *shapes, placing.svg(), *legend, kind="strip")


def _all(cell: _Cell) -> list[_Cell]:
    return [cell, *(deeper for one in cell.below for deeper in _all(one))]
