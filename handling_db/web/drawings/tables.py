"""The tables of the database as boxes, a line from each column to the table it refers to; SVG text."""

from __future__ import annotations

import math
from collections.abc import Sequence

from markupsafe import Markup, escape

from handling_db.database.described import Table
from handling_db.web.drawings.labels import width_of

_LINE, _ACROSS, _DOWN = 18, 60, 18  # height of a row; between boxes
_LETTERS = 13


def tables_drawing(tables: Sequence[Table], *, linked: bool = False) -> Markup:
    """Every table with the columns that tie it, what is referred to on the left of what refers to it.

    Parameters
    ----------
    tables : sequence of Table
        Without views.
    linked : bool
        Whether each box leads to the heading of its table on the same page.
    """
    wide = _wide(tables)
    boxes, width, height = _placed(tables, wide)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" role="{"group" if linked else "img"}" aria-label="Tables and their ties" '
        f'font-family="sans-serif" font-size="{_LETTERS}">',
        f'<title>Tables and their ties</title><rect width="{width}" height="{height}" fill="#fff"/>',
    ]
    for table in tables:
        left, top, _ = boxes[table.name]
        for row, other in enumerate(table.ties.values()):
            to_x, to_y, _ = boxes[other]
            y1, y2 = top + _LINE * (row + 2) - 5, to_y + _LINE - 5
            middle = (left + to_x + wide) // 2
            out.append(
                f'<path d="M{left},{y1} C{middle},{y1} {middle},{y2} {to_x + wide},{y2}" fill="none" '
                'stroke="#777"/>'
            )
    out += [_box(table, *boxes[table.name], wide, linked=linked) for table in tables]
    return Markup("\n".join([*out, "</svg>"]) + "\n")


def _placed(tables: Sequence[Table], wide: int) -> tuple[dict[str, tuple[int, int, int]], int, int]:
    """Left, top and height of each box; and the size of all."""
    columns: dict[int, list[Table]] = {}
    depths = _depths(tables)
    for table in tables:
        columns.setdefault(depths[table.name], []).append(table)
    boxes: dict[str, tuple[int, int, int]] = {}
    x, tallest = 10, 0
    for at in sorted(columns):
        y = 10
        for table in columns[at]:
            height = _LINE * (1 + len(table.ties)) + 8
            boxes[table.name] = (x, y, height)
            y += height + _DOWN
        tallest = max(tallest, y)
        x += wide + _ACROSS
    return boxes, x - _ACROSS + 10, tallest


def _depths(tables: Sequence[Table]) -> dict[str, int]:
    """How many tables stand one behind the other to the left of each; of a circle the order decides."""
    refers = {table.name: set(table.ties.values()) - {table.name} for table in tables}
    depths = dict.fromkeys(refers, 0)
    for _ in tables:
        deeper = {
            name: max((depths[other] + 1 for other in others), default=0) for name, others in refers.items()
        }
        if deeper == depths:
            break
        depths = {name: min(depth, len(tables)) for name, depth in deeper.items()}
    return depths


def _box(table: Table, left: int, top: int, height: int, wide: int, *, linked: bool) -> str:
    shown = [
        f'<rect x="{left}" y="{top}" width="{wide}" height="{height}" fill="#f4f4f0" stroke="#333"/>',
        f'<text x="{left + 6}" y="{top + _LINE}" font-weight="bold">{escape(table.name)}</text>',
    ]
    for row, told in enumerate(_ties(table), 2):
        shown.append(f'<text x="{left + 6}" y="{top + _LINE * row}">{escape(told)}</text>')
    inside = "".join(shown)
    return f'<a href="#{escape(table.name)}">{inside}</a>' if linked else inside


def _ties(table: Table) -> list[str]:
    return [column if column == other else f"{column} → {other}" for column, other in table.ties.items()]


def _wide(tables: Sequence[Table]) -> int:
    """Of every box: as wide as the longest words in one."""
    told = [text for table in tables for text in (table.name, *_ties(table))]
    return math.ceil(max((width_of(text, _LETTERS) for text in told), default=100.0)) + 12
