"""Words in a drawing: each beside what it names, none over another, none dropped, none out of the frame."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from markupsafe import escape

SIZE = 15.0  # of the letters [px], as site.css sets them
LINE = 18.0
GAP = 5.0  # left free around every label
_FAR = 15.0  # from here on a line leads from the label to what it names

# Widths of letters in ems, of a broad bold face, so that narrower faces have room to spare. Measured on
# DejaVu Sans Bold and rounded up.
_NARROW = {**dict.fromkeys("ijl|!.,:;'I ", 0.40), **dict.fromkeys('frt()[]-/"°', 0.56)}
_BROAD = {
    **dict.fromkeys("mM", 1.06),
    **dict.fromkeys("wWQ@%…", 1.12),
    **dict.fromkeys("ABCDGHKNORUVXYZ&+=±×", 0.86),
}


class _Ems(dict[str, float]):
    def __missing__(self, sign: str) -> float:
        return 0.73


_EMS = _Ems({**_BROAD, **_NARROW})
# Where around a point a label is tried, in this order: across and down for each turn.
_TURNS = tuple(
    (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    for turn in (0, 180, 60, 120, 240, 300, 90, 270)
)


@functools.lru_cache(maxsize=4096)
def width_of(text: str, size: float = SIZE) -> float:
    """Room a text needs, rather more than less. [px]"""
    return size * sum(map(_EMS.__getitem__, text))


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, y down. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    def inside(self, other: Box) -> bool:
        """Whether it lies within another."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


@dataclass(frozen=True, slots=True)
class Label:
    """Words to be written near a point.

    Parameters
    ----------
    text : str
    at : (x, y)
        What it names. [px]
    away : float
        How far from it the nearest place is. [px]
    """

    text: str
    at: tuple[float, float]
    away: float = 9.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place: its lines, the box they take and what it names."""

    label: Label
    lines: tuple[str, ...]
    box: Box

    @property
    def leader(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Ends of the line from what it names to the box; None where it stands beside it."""
        x, y = self.label.at
        end = (min(max(x, self.box.left), self.box.right), min(max(y, self.box.top), self.box.bottom))
        return ((x, y), end) if math.dist((x, y), end) > _FAR + self.label.away - 9.0 else None


@dataclass
class Placing:
    """The words of one drawing while they are placed.

    Parameters
    ----------
    frame : Box
        Where they may stand; more rows are put under it where it is full.
    taken : list of Box
        What no label may cover: points, marks, scale bars, and labels once they are placed.
    """

    frame: Box
    taken: list[Box] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)
    bottom: float = 0.0

    def __post_init__(self) -> None:
        self.bottom = self.frame.bottom

    def put(self, labels: Iterable[Label]) -> None:
        """Place labels, the first ones nearest to what they name."""
        for label in labels:
            self.placed.append(self._near(label) or self._below(label))
            self.taken.append(self.placed[-1].box)

    def _near(self, label: Label) -> Placed | None:
        frame = self.frame
        lines = wrapped(label.text, min(frame.right - frame.left, 230.0) - 2 * GAP)
        wide, tall = _room(lines)
        x, y = label.at
        half_wide, half_tall = wide / 2, tall / 2
        for distance in (label.away, label.away + 12, label.away + 28, label.away + 48):
            for across, down in _TURNS:
                # the box touches the circle of that distance: its middle is further out by its own half
                middle, level = x + across * (distance + half_wide), y + down * (distance + half_tall)
                top, bottom = level - half_tall, level + half_tall
                if top < frame.top or bottom > frame.bottom:
                    continue
                box = Box(middle - half_wide, top, middle + half_wide, bottom)
                if box.inside(frame) and self._free(box):
                    return Placed(label, lines, box)
        return None

    def _below(self, label: Label) -> Placed:
        """In the first row under the frame that has room, as near under what it names as it goes."""
        lines = wrapped(label.text, self.frame.right - self.frame.left - 2 * GAP)
        wide, tall = _room(lines)
        left, right = self.frame.left, self.frame.right
        top, far = self.frame.bottom, 24.0
        while True:
            wanted = min(max(label.at[0] - wide / 2, left), right - wide)
            starts = sorted(
                {wanted, left, right - wide, *(one.box.right + GAP for one in self.placed)},
                key=lambda start: abs(start - wanted),
            )
            for start in starts:
                if abs(start - wanted) > far or start < left or start + wide > right:
                    continue
                box = Box(start, top, start + wide, top + tall)
                if self._free(box):
                    self.bottom = max(self.bottom, box.bottom)
                    return Placed(label, lines, box)
            # rather a row lower than far aside, since leaders that cross are hard to follow
            top, far = top + LINE / 2, far + 8.0

    def _free(self, box: Box) -> bool:
        left, top, right, bottom = box.left - 1.5, box.top - 1.5, box.right + 1.5, box.bottom + 1.5
        for other in self.taken:
            # whether the two share more than an edge; asked some thousand times for a drawing
            if left < other.right and other.left < right and top < other.bottom and other.top < bottom:
                return False
        return True

    def svg(self) -> str:
        """Lines first, so that none runs over a word; then the words."""
        lines = [
            f'<path class="leader" d="M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}"/>'
            for one in self.placed
            if (ends := one.leader) is not None
            for a, b in [ends]
        ]
        return "".join(lines) + "".join(written(one.lines, one.box) for one in self.placed)


def written(lines: Sequence[str], box: Box, kind: str = "halo") -> str:
    """Lines of words in their box, each in the middle of it."""
    middle = (box.left + box.right) / 2
    return "".join(
        f'<text class="{kind}" text-anchor="middle" x="{middle:.1f}" y="{box.top + LINE * row - 4.5:.1f}">'
        f"{escape(line)}</text>"
        for row, line in enumerate(lines, 1)
    )


def wrapped(text: str, widest: float) -> tuple[str, ...]:
    """A text in lines that are no wider than that; a single long word is cut with a sign that it goes on."""
    lines: list[str] = []
    for word in text.split():
        while width_of(word) > widest and len(word) > 2:
            word = f"{word[:-2]}…"
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(joined) <= widest:
            lines[-1] = joined
        else:
            lines.append(word)
    return tuple(lines) or ("",)


def _room(lines: Sequence[str]) -> tuple[float, float]:
    return max(width_of(line) for line in lines), LINE * len(lines)
