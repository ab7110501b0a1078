"""``python -m tests.docs.write_database``: the page on the tables of the database, made from the schema itself."""

from __future__ import annotations

from pathlib import Path

from handling_db.database.described import DescribedColumn, described
from handling_db.web.drawings.tables import tables_drawing

DOCS = Path(__file__).parents[2] / "docs"
PAGE, PICTURE = DOCS / "database.md", DOCS / "images" / "database.svg"
TOP = """# The database

Made from the schema by `python -m tests.docs.write_database`; the view shows the same at `/database`, with the rows behind it.
One file of SQLite, built fresh and never edited; masses are kilograms, places metres (units stand in the names of columns).
NULL means not known or not recorded, never nothing. Inside, rows are tied by integers; `code` is the id of the record.

`handling-db demo FOLDER` puts `metadata.yml` beside the file: titles, column texts and the canned queries for a Datasette without
this program. `datasette handling.db -m metadata.yml` does it for the stable line (0.65, with which the tests run);
`datasette handling.db -m metadata.yml -c metadata.yml` for 1.0, where queries belong to the configuration (tried with 1.0a41).

![Tables and their ties](images/database.svg)

## Tables
"""


def page() -> str:
    """The page as it should be."""
    lines = [TOP.rstrip("\n")]
    for table in described():
        if not table.view:
            lines += ["", f"### {table.name}", "", *([table.says, ""] if table.says else [])]
            lines += ["| column | type | |", "| --- | --- | --- |", *map(_row, table.columns)]
    lines += [
        "",
        "## Views",
        "",
        "Questions that are asked often, as tables.",
        "",
        "| view | columns |",
        "| --- | --- |",
    ]
    for table in described():
        if table.view:
            lines.append(f"| `{table.name}` | {', '.join(f'`{column.name}`' for column in table.columns)} |")
    return "\n".join(lines) + "\n"


def _row(column: DescribedColumn) -> str:
    words = [f"→ [{column.refers_to}](#{column.refers_to})"] if column.refers_to else []
    words += [column.says] if column.says else []
    words += ["key"] if column.key else ["never empty"] if column.needed else []
    told = "; ".join(words).replace("|", "\\|")
    return f"| `{column.name}` | {column.type} | {told} |"


def picture() -> str:
    """The picture as it should be."""
    return str(tables_drawing([table for table in described() if not table.view]))


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
    PICTURE.write_text(picture(), "utf-8")
