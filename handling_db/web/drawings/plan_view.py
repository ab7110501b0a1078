"""Seen from above, to scale: what it stands on, the forks, the centre of gravity, the edge it tips over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from markupsafe import Markup

from handling_db.carrying.fork_entry import EntryFigure
from handling_db.moving.figures import Flat, MoveAnswer
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import Box, Label, Placing
from handling_db.web.drawings.scale_bar import scale_bar

_MARGIN = 34.0
_TALLEST = 300.0
_FOOT = 28.0  # for the scale bar


def plan_view(answer: MoveAnswer) -> Markup | None:
    """The plan view of a move.

    Parameters
    ----------
    answer : MoveAnswer
        Its footprint, face, forks, centre with its patch and tip edge are drawn where they are known. [m]

    Returns
    -------
    Markup or None
        None where neither a footprint nor a face is known.
    """
    outline = _footprint(answer)
    piece = list(answer.piece_outline)
    if not outline and not piece:
        return None
    first = answer.entries[0] if answer.entries else None
    forks = _forks(answer, first)
    view = _View([*outline, *piece, *(point for fork in forks for point in fork)])
    shapes = []
    if outline:
        shapes.append(view.polygon(outline, "outline"))
    shapes += [view.polygon(fork, "fork") for fork in forks]
    if piece:
        shapes.append(view.polygon(piece, "face"))
    edge = next((stand.weakest for stand in reversed(answer.standing) if stand.weakest is not None), None)
    if edge is not None:
        shapes.append(view.line(edge.start, edge.end, "tip"))
    placing = Placing(Box(4.0, 4.0, WIDTH - 4.0, view.bottom))
    labels = []
    if answer.centre is not None:
        low, high, at = answer.centre.low, answer.centre.high, answer.centre.at
        patch = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])]
        if max(high[0] - low[0], high[1] - low[1]) > 0.0005:
            shapes.append(view.polygon(patch, "patch"))
        x, y = view.at((at[0], at[1]))
        shapes.append(f'<path class="centre" d="M{x - 9:.1f} {y:.1f}h18M{x:.1f} {y - 9:.1f}v18"/>')
        placing.taken.append(Box(x - 10, y - 10, x + 10, y + 10))
        labels.append(Label("centre of gravity", (x, y), 13.0))
    else:
        labels.append(Label("centre of gravity not known", view.at(view.middle), 2.0))
    if first is not None and forks:
        arrow, room, tail = _arrow(view, answer, first)
        shapes.append(arrow)
        placing.taken.append(room)
        placing.frame = replace(placing.frame, bottom=max(placing.frame.bottom, room.bottom + 2.0))
        placing.bottom = placing.frame.bottom
        labels.append(Label(f"forks from {first.side}", tail, 8.0))
    placing.put(labels)
    height = placing.bottom + _FOOT
    says = f"Plan view of {answer.name}, to scale: {'; '.join(label.text for label in labels)}"
    bar = scale_bar(view.scale, _MARGIN, height - 12, WIDTH / 2.5)
    return framed(says, height, *shapes, placing.svg(), bar, kind="plan")


def _footprint(answer: MoveAnswer) -> list[Flat]:
    if answer.pallet is None or answer.footprint is None:
        return []
    x, y = answer.footprint[0] / 2, answer.footprint[1] / 2
    return [(-x, -y), (x, -y), (x, y), (-x, y)]


def _forks(answer: MoveAnswer, entry: EntryFigure | None) -> list[list[Flat]]:
    """The two blades, as long and as far apart as recorded, drawn 100 mm wide. [m]"""
    if answer.forks is None or entry is None or answer.footprint is None:
        return []
    length, spread = answer.forks
    along = 0 if entry.side.endswith("x") else 1
    half = answer.footprint[along] / 2
    start, end = (-half, -half + length) if entry.side.startswith("low") else (half, half - length)
    found: list[list[Flat]] = []
    for middle in (-spread / 2, spread / 2):
        box = [(start, middle - 0.05), (end, middle - 0.05), (end, middle + 0.05), (start, middle + 0.05)]
        found.append(box if along == 0 else [(y, x) for x, y in box])
    return found


def _arrow(view: _View, answer: MoveAnswer, entry: EntryFigure) -> tuple[str, Box, Flat]:
    """An arrow outside the side from which the forks come in, pointing in; its room and its tail."""
    assert answer.footprint is not None
    x, y = answer.footprint[0] / 2, answer.footprint[1] / 2
    along, end = entry.side.endswith("x"), 1.0 if entry.side.startswith("high") else -1.0
    px, py = view.at((end * x, 0.0) if along else (0.0, end * y))
    # outwards in the drawing, whose y runs down
    out = (end, 0.0) if along else (0.0, -end)
    start = (px + 26 * out[0], py + 26 * out[1])
    side = (out[1], out[0])
    head = [
        (px + 4 * out[0], py + 4 * out[1]),
        (px + 15 * out[0] + 9 * side[0], py + 15 * out[1] + 9 * side[1]),
        (px + 15 * out[0] - 9 * side[0], py + 15 * out[1] - 9 * side[1]),
    ]
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in head)
    shaft = f"M{start[0]:.1f} {start[1]:.1f}L{px + 12 * out[0]:.1f} {py + 12 * out[1]:.1f}"
    corners = [start, *head]
    xs, ys = [a for a, _ in corners], [b for _, b in corners]
    room = Box(min(xs), min(ys), max(xs), max(ys))
    return f'<path class="leg" d="{shaft}"/><polygon class="point" points="{points}"/>', room, start


class _View:
    """The scale of a drawing: metres to pixels, y up."""

    def __init__(self, points: Sequence[Flat]) -> None:
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        wide, tall = max(max(xs) - min(xs), 0.05), max(max(ys) - min(ys), 0.05)
        self.scale = min((WIDTH - 2 * _MARGIN) / wide, _TALLEST / tall)
        self.left = (min(xs) + max(xs)) / 2 - WIDTH / 2 / self.scale
        self.top = max(ys)
        self.bottom = tall * self.scale + _MARGIN + 8.0
        self.middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)

    def at(self, point: Flat) -> Flat:
        return (point[0] - self.left) * self.scale, _MARGIN + (self.top - point[1]) * self.scale

    def polygon(self, points: Sequence[Flat], kind: str) -> str:
        text = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.at, points))
        return f'<polygon class="{kind}" points="{text}"/>'

    def line(self, start: Flat, end: Flat, kind: str) -> str:
        (ax, ay), (bx, by) = self.at(start), self.at(end)
        return f'<path class="{kind}" d="M{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}"/>'
