"""A strip of states to scale: after each step the recorded shapes of every body, and what carries it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from handling_db.jobs.pictured import BodyPicture, StepPicture
from handling_db.jobs.steps.answer import BodyFigure, StepFigure, StepsAnswer
from handling_db.mechanics.vectors import Vector, apply
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import LINE, Box, wrapped, written
from handling_db.web.drawings.lift import Flat, hull, polygon
from handling_db.web.drawings.scale_bar import scale_bar

ON_PHONE, ON_PAPER = 2, 4  # pictures side by side
_CELL = WIDTH / ON_PHONE
_PAD = 10.0
_TALL = 128.0  # of the picture in a cell
_PAPER = 8.0  # left free under the words of a cell
_GAP = 0.15  # between bodies that stand beside one another [m]
_HANG = 0.18  # how far above the floor a hanging body is drawn; its true height is not recorded [m]


@dataclass(frozen=True, slots=True)
class _Panel:
    """One picture and the steps that it is true for."""

    first: int
    last: int
    step: StepFigure
    picture: StepPicture


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a place of one body's room is in the drawing: x from the left, the floor at a height. [px, m]"""

    left: float
    floor: float
    ground: float
    scale: float

    def __call__(self, at: Vector) -> Flat:
        return self.left + at[0] * self.scale, self.floor - (at[2] - self.ground) * self.scale


def states_strip(
    answer: StepsAnswer, pictures: Sequence[StepPicture], *, columns: int = ON_PHONE
) -> Markup | None:
    """Every state that looks different from the one before, all to one scale.

    Parameters
    ----------
    answer : StepsAnswer
    pictures : sequence of StepPicture
        Of the same plan, the start first.
    columns : int
        Pictures side by side.

    Returns
    -------
    Markup or None
        None where no shape has a recorded place and direction.
    """
    panels = _panels(answer, pictures)
    widths = [_wide(panel.picture) for panel in panels]
    heights = [_tall(panel.picture) for panel in panels]
    if not panels or max(widths) <= 0.0:
        return None
    scale = min((_CELL - 2 * _PAD) / max(widths), (_TALL - 24.0) / max(heights))
    words = [(_numbers(panel), *wrapped(_carried(panel), _CELL - 8.0)) for panel in panels]
    drawn = []
    top = 0.0
    for first in range(0, len(panels), columns):
        floor = top + _TALL
        for column, panel in enumerate(panels[first : first + columns]):
            left = column * _CELL
            drawn.append(_cell(panel, left, floor, scale))
            number, *lines = words[first + column]
            under = floor + 2.0 + LINE
            drawn.append(written([number], Box(left, floor + 2.0, left + _CELL, under)))
            drawn.append(written(lines, Box(left, under, left + _CELL, under), "plain"))
        top = floor + 2.0 + LINE * max(map(len, words[first : first + columns])) + _PAPER
    height = top + 30.0
    said = "; ".join(f"{_numbers(panel)}: {_carried(panel)}" for panel in panels)
    says = f"The states of the job from the side, to one scale. {said}"
    bar = scale_bar(scale, 12.0, height - 8, _CELL * columns / 3)
    return framed(says, height, *drawn, bar, kind="states", wide=columns * _CELL)


def _panels(answer: StepsAnswer, pictures: Sequence[StepPicture]) -> list[_Panel]:
    found: list[_Panel] = []
    for step, picture in zip((answer.start, *answer.steps), pictures, strict=True):
        last = found[-1] if found else None
        if last is not None and _looks(last.picture) == _looks(picture):
            found[-1] = _Panel(last.first, step.number, last.step, last.picture)
        elif any(body.shapes for body in picture.bodies):
            found.append(_Panel(step.number, step.number, step, picture))
    return found


def _looks(picture: StepPicture) -> object:
    """What of a state can be seen."""
    shown = [body for body in picture.bodies if body.shapes]
    return [(body.shapes, body.carried, body.stand_m, body.temporary) for body in shown]


def _numbers(panel: _Panel) -> str:
    if panel.first == panel.last == 0:
        return "start"
    first = "start" if panel.first == 0 else str(panel.first)
    return first if panel.first == panel.last else f"{first} to {panel.last}"


def _extent(body: BodyPicture, axis: int) -> tuple[float, float]:
    values = [corner[axis] for box in body.shapes for corner in box]
    return min(values), max(values)


def _drawn(picture: StepPicture) -> list[tuple[int, BodyPicture]]:
    """Bodies with anything to draw, by their place among the figures."""
    return [(place, body) for place, body in enumerate(picture.bodies) if body.shapes]


def _wide(picture: StepPicture) -> float:
    bodies = [_extent(body, 0) for _, body in _drawn(picture)]
    return sum(high - low for low, high in bodies) + _GAP * max(0, len(bodies) - 1)


def _tall(picture: StepPicture) -> float:
    spans = [(_under(body), *_extent(body, 2)) for _, body in _drawn(picture)]
    return max((under + high - low for under, low, high in spans), default=0.0)


def _hangs(body: BodyPicture) -> bool:
    """Whether a hook alone carries it."""
    return body.carried == ("hook",)


def _under(body: BodyPicture) -> float:
    """Room under the body: the height of its stand, or a little where it hangs. [m]"""
    return _HANG if _hangs(body) else (body.stand_m or 0.0)


def _cell(panel: _Panel, left: float, floor: float, scale: float) -> str:
    """One panel: bodies side by side on the floor, each on what it stands on or on its hook."""
    shapes = [f'<path class="axis" d="M{left + 4:.1f} {floor:.1f}H{left + _CELL - 4:.1f}"/>']
    across = left + (_CELL - _wide(panel.picture) * scale) / 2
    top = floor - _TALL + 8.0
    for place, body in _drawn(panel.picture):
        low, high = _extent(body, 0)
        base = _extent(body, 2)[0]
        # What stands proud of the face it rests on reaches down beside the stand.
        rest = base if body.floor is None or _hangs(body) else body.floor

        spot = _Spot(across - low * scale, floor, rest - _under(body), scale)
        figures = panel.step.bodies[place] if place < len(panel.step.bodies) else None
        shapes += _body(body, spot, figures)
        if not _hangs(body) and body.stand_m:
            wide = (high - low) * scale * 0.7
            shapes.append(
                f'<rect class="stand" x="{across + (high - low) * scale * 0.15:.1f}" '
                f'y="{floor - body.stand_m * scale:.1f}" width="{wide:.1f}" '
                f'height="{body.stand_m * scale:.1f}"/>'
            )
        if "hook" in body.carried:
            x, y = spot(_crown(body, figures))
            shapes.append(f'<path class="hook" d="M{x:.1f} {top:.1f}V{y:.1f}m-5 0h10"/>')
        across += (high - low + _GAP) * scale
    return "".join(shapes)


def _body(body: BodyPicture, spot: _Spot, figures: BodyFigure | None) -> list[str]:
    """Outlines of its shapes, its centre and its temporary ties."""
    shapes = [polygon(hull([spot(corner) for corner in box]), "body") for box in body.shapes]
    for at in body.temporary:
        x, y = spot(at)
        shapes.append(f'<circle class="temporary" cx="{x:.1f}" cy="{y:.1f}" r="4"/>')
    if figures is not None and figures.centre is not None:
        x, y = spot(apply(body.turn, figures.centre.at))
        shapes.append(f'<path class="centre" d="M{x - 6:.1f} {y:.1f}h12M{x:.1f} {y - 6:.1f}v12"/>')
    return shapes


def _crown(body: BodyPicture, figures: BodyFigure | None) -> Vector:
    """Where the line of the hook meets the body: over its centre, as high as it reaches."""
    low, high = _extent(body, 0)
    x = (low + high) / 2
    if figures is not None and figures.centre is not None:
        x = apply(body.turn, figures.centre.at)[0]
    return x, 0.0, _extent(body, 2)[1]


def _carried(panel: _Panel) -> str:
    """What carries the bodies, the first one first."""
    words = [
        " and ".join(_WORD.get(one, one) for one in body.carried) or "held by nothing"
        for body in panel.picture.bodies
    ]
    return "; ".join(dict.fromkeys(words))


_WORD = {"not recorded": "on what nobody recorded", "machine": "in the machine"}
