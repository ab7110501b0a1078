"""A lift to scale: recorded shapes, faces, joint plane, centre with its patch, hook, legs with their pull."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING

from markupsafe import Markup, escape

from handling_db.lifting.figures import CentreFigure, LiftAnswer, Vector
from handling_db.lifting.pictured.outlines import FaceFigure, OutlineFigure, Outlines
from handling_db.mechanics.vectors import apply, subtract
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import Box, Label, Placing
from handling_db.web.drawings.scale_bar import scale_bar
from handling_db.web.drawings.units import mass_text

_EDGE = 26.0
_TALLEST = 340.0
_HEAD = 26.0  # for the words that say from where it is seen
_FOOT = 30.0  # for the scale bar
NOTHING = Outlines((), (), ())

Flat = tuple[float, float]
Spot = Callable[[Vector], Flat]


@dataclass(frozen=True, slots=True)
class _View:
    """From where it is drawn: the two axes of the room, across and up, and its name."""

    axes: tuple[int, int]
    name: str


SIDE = _View((0, 2), "from the side")
ABOVE = _View((0, 1), "from above")


def attitude_sketch(answer: LiftAnswer, shown: Outlines = NOTHING, *, first: str = "kg") -> Markup | None:
    """The load as it hangs, from the side and from above.

    Returns
    -------
    Markup or None
        None where nothing of it has a place.
    """
    both = [lift_to_scale(answer, shown, view, first=first) for view in (SIDE, ABOVE)]
    drawn = [one for one in both if one is not None]
    return Markup("".join(drawn)) if drawn else None


def lift_to_scale(
    answer: LiftAnswer, shown: Outlines = NOTHING, view: _View = SIDE, *, first: str = "kg"
) -> Markup | None:
    """The load as it comes to rest, to scale: only what is recorded.

    Parameters
    ----------
    answer : LiftAnswer
    shown : Outlines
        Shapes, faces and joint planes with a recorded place and direction. [m]
    view : _View
    first : str
        kg or lb.

    Returns
    -------
    Markup or None
        None where nothing of it has a place.
    """
    answer, shown, upward = _as_it_hangs(answer, shown)
    if view is ABOVE:
        # a box around a round piece has its outline seen along the axis of the box only
        shown = replace(shown, pieces=())
    if not answer.picks_room and not shown.pieces and not shown.faces:
        return None
    flat = _Scale(list(_everything(answer, shown)), view)
    shapes = [*_pieces(shown.pieces, flat.spot), *_faces(shown, flat.spot)]
    placing = Placing(Box(5.0, _HEAD, WIDTH - 5.0, flat.bottom))
    labels: list[Label] = []
    if answer.hook_room is not None and answer.picks_room:
        shapes += _hook(answer, flat, placing)
        hook = flat.spot(answer.hook_room)
        read = answer.reading.expected
        told = "" if read is None or read.high is None else f": {mass_text(read.best, first)}"
        labels.append(Label(f"hook{told}", hook, 12.0))
    if answer.centre is not None:
        shapes.append(_centre(answer.centre, flat.spot))
        at = flat.spot(answer.centre.room)
        placing.taken.append(Box(at[0] - 10, at[1] - 10, at[0] + 10, at[1] + 10))
        labels.append(Label("centre of gravity", at, 13.0))
    else:
        labels.append(Label("centre of gravity not known", (WIDTH / 2, (_HEAD + flat.bottom) / 2), 2.0))
    labels += _of_points(answer, flat, first)
    labels += [Label("parts here", _low_left(face, flat.spot), 8.0) for face in shown.joints]
    labels += _of_faces(shown.faces, flat.spot)
    labels += _of_pieces(shown.pieces, flat.spot)
    placing.put(labels)
    height = placing.bottom + _FOOT
    says = f"{answer.name}, {view.name}, to scale: {'; '.join(label.text for label in labels)}"
    caption = f'<text class="plain" x="6" y="18">{escape(view.name)}, {escape(upward)}</text>'
    bar = scale_bar(flat.scale, 12.0, height - 10, WIDTH / 3)
    return framed(says, height, *shapes, placing.svg(), bar, caption)


def _as_it_hangs(answer: LiftAnswer, shown: Outlines) -> tuple[LiftAnswer, Outlines, str]:
    """The same turned into the pose it comes to rest in, and what points up then."""
    rest = answer.legs.rest if answer.legs is not None else None
    hook = answer.hook_room
    if rest is None or hook is None or rest.tilt < 0.5:
        return answer, shown, "z up"

    def hung(place: Vector) -> Vector:
        return apply(rest.turn, subtract(place, hook))

    centre = answer.centre
    if centre is not None:
        low, high = centre.room_low, centre.room_high
        corners = [
            hung((x, y, z)) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])
        ]
        around = [tuple(pick(corner[axis] for corner in corners) for axis in range(3)) for pick in (min, max)]
        centre = replace(
            centre,
            room=hung(centre.room),
            room_low=(around[0][0], around[0][1], around[0][2]),
            room_high=(around[1][0], around[1][1], around[1][2]),
        )
    picks = tuple((name, hung(place)) for name, place in answer.picks_room)
    turned = Outlines(
        tuple(replace(one, corners=tuple(map(hung, one.corners))) for one in shown.pieces),
        tuple(replace(one, points=tuple(map(hung, one.points))) for one in shown.faces),
        tuple(replace(one, points=tuple(map(hung, one.points))) for one in shown.joints),
    )
    hanging = replace(answer, picks_room=picks, hook_room=(0.0, 0.0, 0.0), centre=centre)
    return hanging, turned, f"as it comes to rest, tilted by {rest.tilt:.1f}°"


def _everything(answer: LiftAnswer, shown: Outlines) -> Iterable[Vector]:
    yield from (place for _, place in answer.picks_room)
    if answer.hook_room is not None and answer.picks_room:
        yield answer.hook_room
    if answer.centre is not None:
        yield from (answer.centre.room, answer.centre.room_low, answer.centre.room_high)
    for piece in shown.pieces:
        yield from piece.corners
    for face in (*shown.faces, *shown.joints):
        yield from face.points


class _Scale:
    """The scale of a drawing: metres to pixels, up to the top."""

    def __init__(self, points: Sequence[Vector], view: _View) -> None:
        self.axes = view.axes
        across, up = ([point[axis] for point in points] for axis in view.axes)
        wide, tall = max(max(across) - min(across), 0.1), max(max(up) - min(up), 0.1)
        self.scale = min((WIDTH - 2 * _EDGE) / wide, _TALLEST / tall)
        self._left = (min(across) + max(across)) / 2 - WIDTH / 2 / self.scale
        self._top = max(up)
        self.bottom = _HEAD + 24.0 + (max(up) - min(up)) * self.scale + 24.0

    def spot(self, place: Vector) -> Flat:
        """Where a place of the room is in the drawing. [px]"""
        x = (place[self.axes[0]] - self._left) * self.scale
        return x, _HEAD + 24.0 + (self._top - place[self.axes[1]]) * self.scale


def hull(points: Iterable[Flat]) -> list[Flat]:
    """The convex outline of points, by Andrew's monotone chain."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered

    def half(run: Iterable[Flat]) -> list[Flat]:
        chain: list[Flat] = []
        for x, y in run:
            while len(chain) > 1 and _turns(chain[-2], chain[-1], (x, y)) <= 0:
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    return half(ordered) + half(reversed(ordered))


def _turns(a: Flat, b: Flat, c: Flat) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def polygon(points: Sequence[Flat], kind: str) -> str:
    """A closed outline."""
    text = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polygon class="{kind}" points="{text}"/>'


def _pieces(pieces: Sequence[OutlineFigure], spot: Spot) -> list[str]:
    return [polygon(hull(map(spot, piece.corners)), "body") for piece in pieces]


def _faces(shown: Outlines, spot: Spot) -> list[str]:
    drawn = [polygon(hull(map(spot, face.points)), "face") for face in shown.faces]
    return drawn + [polygon(hull(map(spot, face.points)), "joint") for face in shown.joints]


def _low_left(face: FaceFigure, spot: Spot) -> Flat:
    return min(map(spot, face.points))


def _of_faces(faces: Sequence[FaceFigure], spot: Spot) -> list[Label]:
    labels = []
    for face in faces:
        at = max(map(spot, face.points))
        labels.append(Label(f"must not rest: {face.name}" if face.may_rest is False else face.name, at, 8.0))
    return labels


def _of_pieces(pieces: Sequence[OutlineFigure], spot: Spot) -> list[Label]:
    """Each name once, at the middle of the first of its shapes."""
    named: dict[str, Flat] = {}
    for piece in pieces:
        spots = [spot(corner) for corner in piece.corners]
        middle = (sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
        named.setdefault(piece.name, middle)
    return [Label(name, at, 2.0) for name, at in named.items()]


def _of_points(answer: LiftAnswer, flat: _Scale, first: str) -> list[Label]:
    pulls = {leg.point: leg.tension_high_kg for leg in (answer.legs.legs if answer.legs else ())}
    names = {point.id: point.name for point in answer.points}
    labels = []
    for code, place in sorted(answer.picks_room, key=lambda pick: flat.spot(pick[1])[0]):
        name, most = names.get(code, code), pulls.get(code)
        told = f": up to {mass_text(most, first, rounding=ROUND_CEILING)}" if most is not None else ""
        labels.append(Label(f"{name}{told}", flat.spot(place), 9.0))
    return labels


def _hook(answer: LiftAnswer, flat: _Scale, placing: Placing) -> list[str]:
    """Legs, points and hook, and the plumb line under it."""
    assert answer.hook_room is not None
    hook = flat.spot(answer.hook_room)
    shapes = []
    if flat.axes[1] == 2:
        shapes.append(f'<path class="plumb" d="M{hook[0]:.1f} {hook[1]:.1f}V{flat.bottom - 10:.1f}"/>')
    for _, place in answer.picks_room:
        x, y = flat.spot(place)
        shapes.append(f'<path class="leg" d="M{hook[0]:.1f} {hook[1]:.1f}L{x:.1f} {y:.1f}"/>')
        shapes.append(f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
        placing.taken.append(Box(x - 6, y - 6, x + 6, y + 6))
    placing.taken.append(Box(hook[0] - 8, hook[1] - 8, hook[0] + 8, hook[1] + 8))
    return [*shapes, f'<path class="hook" d="M{hook[0] - 7:.1f} {hook[1] - 7:.1f}h14v14h-14z"/>']


def _centre(centre: CentreFigure, spot: Spot) -> str:
    x, y = spot(centre.room)
    corners = [spot(centre.room_low), spot(centre.room_high)]
    x0, x1 = sorted(corner[0] for corner in corners)
    y0, y1 = sorted(corner[1] for corner in corners)
    patch = ""
    if x1 - x0 > 3 or y1 - y0 > 3:
        patch = (
            f'<rect class="patch" x="{x0:.1f}" y="{y0:.1f}" width="{x1 - x0:.1f}" height="{y1 - y0:.1f}"/>'
        )
    return (
        f'{patch}<path class="centre" d="M{x - 10:.1f} {y:.1f}h20M{x:.1f} {y - 10:.1f}v20"/>'
        f'<circle class="centre" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
    )
