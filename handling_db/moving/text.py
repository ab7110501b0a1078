"""A move, and how a piece stands, as lines of text."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from handling_db.moving import words as words
from handling_db.moving.figures import MoveAnswer, TruckFigure
from handling_db.quantities.notice import Notice
from handling_db.records.open_job import job_words


def move_text(a: MoveAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    lines = [
        words.gross_words(a, first=first),
        f"  {a.name} ({a.id}); {a.gross_words}",
        f"  {words.notice_words(a.first, first=first)}",
    ]
    lines += [f"  {job_words(job)}" for job in a.jobs]
    lines.append(f"  fluid: {a.state_words}")
    if a.build:
        lines.append(f"  build: {words.build_words(a.build)}")
    lines += ["", "Not known"]
    lines += _told(a.not_known, first) or ["  nothing on the list of this program"]
    lines += ["", "What the gross is made of"]
    lines += [f"  {name}: {mass}" for name, mass in (words.line_words(line, first=first) for line in a.lines)]
    lines += ["", f"Size: {words.size_words(a.size)}"]
    lines += ["", "Forks"]
    lines += [f"  {text}" for text in words.entries_words(a)]
    if a.no_centre:
        lines.append(f"  {a.no_centre}")
    for _, several in groupby(a.trucks, key=lambda one: (one.id, one.attachment)):
        lines += _truck(tuple(several), a, first)
    lines += ["", "Standing"]
    lines += stand_lines(a, first)
    if a.pallet:
        p = a.pallet
        lines += ["", f"Pallet: {p.name}, load spread: {p.spread}"]
        lines.append(f"  {words.beside_words(p.beside, first=first)}; {p.source}")
        lines.append(f"  {words.notice_words(p.stacking, first=first)} Tie down: {a.tie_down}")
        lines += _told(p.says, first)
    if a.feet or a.feet_words:
        lines += ["", "Feet"]
        lines += [f"  {words.foot_words(foot, first=first)}" for foot in a.feet]
        lines += _told(a.feet_words, first)
    for floor in a.floors:
        lines += ["", f"Floor: {floor.name}"]
        lines += [f"  {text}" for text in words.floor_words(floor, first=first)]
        lines += _told(floor.says, first)
    for way in a.ways:
        lines += ["", f"Way: {way.name}"]
        lines += [
            f"  {one.name}: straight {words.room_words(one.room_straight, one.straight)}, turned "
            f"{words.room_words(one.room_turned, one.turned)}, above "
            f"{words.room_words(one.room_above, one.above)}"
            for one in way.passages
        ]
        lines += _told(way.says, first)
    lines += ["", f"Held for the journey or still in ({a.ties_words})"]
    lines += [f"  {words.tie_words(tie)}" for tie in a.ties]
    lines += ["", "Marks to put on"]
    lines += [f"  {mark.name}: {words.notice_words(mark.why, first=first)}" for mark in a.marks]
    lines += [f"  {' '.join(words.told(a.gross_mark, first))}", f"  {a.drips}", ""]
    lines += words.told(a.cautions, first)
    return words.joined(lines, first)


def _truck(sides: Sequence[TruckFigure], a: MoveAnswer, first: str) -> list[str]:
    """One truck with its figures from every side: sides alike together, what holds for all of them once."""
    lines: list[str] = []
    said = [words.told(one.says, first) for one in sides]
    always = tuple(text for text in said[0] if all(text in says for says in said))
    alike: dict[tuple[str, ...], list[TruckFigure]] = {}
    for one, says in zip(sides, said, strict=True):
        own = (*words.truck_lines(one, first=first), *(text for text in says if text not in always))
        alike.setdefault(own, []).append(one)
    for own, together in alike.items():
        lines.append(f"  {words.trucks_title(together, a)}")
        lines += [f"    {text}" for text in own]
    if len(alike) > 1 and always:
        lines.append(f"  {sides[0].name}: from every side")
    return [*lines, *(f"    {text}" for text in always)]


def stand_lines(a: MoveAnswer, first: str = "kg") -> list[str]:
    """How it stands, edge by edge."""
    lines = []
    for stand in a.standing:
        lines.append(f"  {words.stand_words(stand)}")
        lines += [f"    {text}" for text in words.told_edges(stand)[1:]]
        lines += [f"    {text}" for text in words.push_lines(stand, first=first)]
        lines += [f"  {text}" for text in _told(stand.says, first)]
    if not a.standing:
        lines.append(f"  {a.no_centre or 'no face is known to stand on'}")
    lines += [f"  must not rest on: {face}" for face in a.must_not]
    return lines


def _told(notices: Sequence[Notice], first: str) -> list[str]:
    return [f"  {text}" for text in words.told(notices, first)]


def stand_text(a: MoveAnswer, first: str = "kg") -> str:
    """How it stands as lines of text, what is not known after it."""
    lines = [f"{a.name} ({a.id})", *(f"  {job_words(job)}" for job in a.jobs), *stand_lines(a, first)]
    lines += [f"  {words.foot_words(foot, first=first)}" for foot in a.feet]
    lines += ["", words.gross_words(a, first=first), "", "Not known", *_told(a.not_known, first)]
    return words.joined([*lines, "", *words.told(a.cautions, first)], first)
