"""What the sides of a component are called: by its record, by a face there, or as it is installed."""

from __future__ import annotations

from collections.abc import Iterable

from handling_db.records.kinds.component import Component
from handling_db.records.parts.common import opposite_direction
from handling_db.records.parts.pick_point import AXES

Vector = tuple[float, float, float]

# As installed, a side that looks this way has a name that stays true however the piece is turned.
_SIDES = {
    "forward": "front",
    "rearward": "rear",
    "left": "left side",
    "right": "right side",
    "up": "top",
    "down": "underside",
}
_SEEN = 0.3826834  # sine of 22.5 degrees: half of an eighth of a turn


class SideNames:
    """Names of the six sides of a component, each from the best source there is.

    Parameters
    ----------
    component : Component
        Whose frame the directions are in.
    faces : iterable of (name, direction)
        Faces recorded in this frame, with the way each looks.
    """

    def __init__(self, component: Component, faces: Iterable[tuple[str, Vector]] = ()) -> None:
        self._names = {axis: _installed(component, axis) for axis in AXES}
        recorded: dict[str, str] = {str(axis): name for axis, name in component.sides.items()}
        for name, looks in faces:
            for axis, direction in AXES.items():
                along = sum(a * b for a, b in zip(looks, direction, strict=True))
                if along > 0.999 and axis not in recorded:
                    recorded[axis] = f"the {name.removeprefix('the ')}"
        self._names.update(recorded)
        self._plain = {axis: recorded.get(axis) or _word(component, axis) for axis in AXES}
        self._up = next((axis for axis in AXES if _word(component, axis).lower() == "up"), None)

    @property
    def up(self) -> Vector | None:
        """The direction that is up as installed; None where the datum does not say."""
        return None if self._up is None else AXES[self._up]

    def axis(self, axis: str, *, upright: bool = False) -> str:
        """``its underside as installed``, or the recorded name of the side ``-z``.

        Upright, as it is installed, ``left`` says the same shorter.
        """
        return self._plain[axis] if upright else self._names[axis]

    def towards(self, direction: Vector, *, upright: bool = False) -> str:
        """The side that a direction looks to; two with "and" where it lies between them."""
        size = sum(value * value for value in direction) ** 0.5 or 1.0
        found = []
        for value, axis in sorted(zip(direction, "xyz", strict=True), key=lambda pair: -abs(pair[0])):
            if abs(value) > _SEEN * size:
                found.append(self.axis(axis if value > 0 else f"-{axis}", upright=upright))
        return " and ".join(found)


def _word(component: Component, axis: str) -> str:
    """The word of the datum for a direction, or its opposite; the axis itself without one."""
    datum, letter = component.datum, axis.removeprefix("-")
    if datum is None:
        return axis
    word = {"x": datum.x, "y": datum.y, "z": datum.z}[letter]
    return word if axis == letter else opposite_direction(word)


def _installed(component: Component, axis: str) -> str:
    if component.datum is None:
        return f"its {axis if axis.startswith('-') else '+' + axis} side"
    word = _word(component, axis)
    side = _SIDES.get(word.lower())
    return f"its {side} as installed" if side else f"its side {word}"
