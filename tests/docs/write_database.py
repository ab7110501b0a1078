"""``python -m tests.docs.write_database``: the page on the tables of the database, made from the schema itself."""

from __future__ import annotations

import html
import re
import sqlite3
from pathlib import Path

from handling_db.database import schema

DOCS = Path(__file__).parents[2] / "docs"
PAGE, PICTURE = DOCS / "database.md", DOCS / "images" / "database.svg"
_WIDTH, _LINE, _GAP_X, _GAP_Y = 190, 16, 70, 18
_SHADOWS = re.compile(r"_(words|fragments)(_|$)")


def empty() -> sqlite3.Connection:
    """A database with all tables and nothing in them."""
    connection = sqlite3.connect(":memory:")
    connection.executescript(schema.TABLES)
    return connection


def tables(connection: sqlite3.Connection, kind: str) -> list[str]:
    rows = connection.execute("select name from sqlite_master where type = ? order by rowid", (kind,))
    return [name for (name,) in rows if not _SHADOWS.search(name) and not name.startswith("sqlite_")]


def remarks() -> dict[str, str]:
    """What stands in the schema above each table."""
    found = re.findall(r"((?:^--[^\n]*\n)+)create (?:table|view) (\w+)", schema.TABLES, re.MULTILINE)
    return {name: " ".join(line.lstrip("- ").strip() for line in text.splitlines()) for text, name in found}


def comments(connection: sqlite3.Connection, table: str) -> dict[str, str]:
    """What stands in the schema behind each column."""
    (sql,) = connection.execute("select sql from sqlite_master where name = ?", (table,)).fetchone()
    return dict(re.findall(r"^\s*(\w+) [^\n]*?-- ?(.*)$", sql, re.MULTILINE))


def ties(connection: sqlite3.Connection, table: str) -> dict[str, str]:
    """The table that each column refers to."""
    return {row[3]: row[2] for row in connection.execute(f"pragma foreign_key_list({table})")}


def page() -> str:
    connection = empty()
    told = remarks()
    lines = [
        "# The database",
        "",
        "Made from the schema by `python -m tests.docs.write_database`. One file of SQLite, built fresh and never edited;",
        "masses are kilograms, places metres (units stand in the names of columns). NULL means not known or not recorded,",
        "never nothing. Inside, rows are tied by integers; `code` is the id of the record.",
        "",
        "![Tables and their ties](images/database.svg)",
        "",
        "## Tables",
    ]
    for table in tables(connection, "table"):
        referred, behind = ties(connection, table), comments(connection, table)
        lines += ["", f"### {table}", ""]
        lines += [told[table], ""] if table in told else []
        lines += ["| column | type | |", "| --- | --- | --- |"]
        for _, name, type_, needed, _, key in connection.execute(f"pragma table_info({table})"):
            words = [f"→ [{referred[name]}](#{referred[name]})"] if name in referred else []
            words += [behind[name]] if name in behind else []
            words += ["key"] if key else ["never empty"] if needed else []
            told_of = "; ".join(words).replace("|", "\\|")
            lines.append(f"| `{name}` | {type_} | {told_of} |")
    lines += [
        "",
        "## Views",
        "",
        "Questions that are asked often, as tables.",
        "",
        "| view | columns |",
        "| --- | --- |",
    ]
    for view in tables(connection, "view"):
        columns = ", ".join(f"`{row[1]}`" for row in connection.execute(f"pragma table_info({view})"))
        lines.append(f"| `{view}` | {columns} |")
    return "\n".join(lines) + "\n"


def picture() -> str:
    """Every table as a box with the columns that tie it, a line to each table it refers to."""
    connection = empty()
    named = tables(connection, "table")
    refers = {table: ties(connection, table) for table in named}
    depth = {}

    def level(table: str, seen: tuple[str, ...] = ()) -> int:
        if table not in depth:
            others = [other for other in refers[table].values() if other not in (*seen, table)]
            depth[table] = 1 + max((level(other, (*seen, table)) for other in others), default=-1)
        return depth[table]

    columns: dict[int, list[str]] = {}
    for table in named:
        columns.setdefault(level(table), []).append(table)
    boxes: dict[str, tuple[int, int, int]] = {}
    x, tallest = 10, 0
    for at in sorted(columns):
        y = 10
        for table in columns[at]:
            height = _LINE * (1 + len(refers[table])) + 8
            boxes[table] = (x, y, height)
            y += height + _GAP_Y
        tallest = max(tallest, y)
        x += _WIDTH + _GAP_X
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {x - _GAP_X + 10} {tallest}" font-family="sans-serif" '
        'font-size="12">',
        f'<rect width="{x - _GAP_X + 10}" height="{tallest}" fill="#fff"/>',
    ]
    for table, (left, top, _) in boxes.items():
        for row, other in enumerate(dict.fromkeys(refers[table].values())):
            to_x, to_y, to_height = boxes[other]
            y1, y2 = top + _LINE * (row + 2), to_y + to_height // 2
            middle = (left + to_x + _WIDTH) // 2
            out.append(
                f'<path d="M{left},{y1} C{middle},{y1} {middle},{y2} {to_x + _WIDTH},{y2}" fill="none" stroke="#999"/>'
            )
    for table, (left, top, height) in boxes.items():
        out.append(
            f'<rect x="{left}" y="{top}" width="{_WIDTH}" height="{height}" fill="#f4f4f0" stroke="#333"/>'
        )
        out.append(f'<text x="{left + 6}" y="{top + _LINE}" font-weight="bold">{html.escape(table)}</text>')
        for row, (column, other) in enumerate(refers[table].items(), 2):
            shown = column if column == other else f"{column} → {other}"
            out.append(f'<text x="{left + 6}" y="{top + _LINE * row}">{html.escape(shown)}</text>')
    return "\n".join([*out, "</svg>"]) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
    PICTURE.write_text(picture(), "utf-8")
