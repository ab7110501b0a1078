"""The page that explains the database: its tables, their columns, and a picture of what refers to what."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.database.described import described
from handling_db.web.drawings.tables import tables_drawing
from handling_db.web.pages.sending import Visit, shown
from handling_db.web.site import database


@shown("tables.html")
def tables(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Tables, columns and ties, made from the schema; each leads to its rows."""
    found = described()
    return {
        "tables": [table for table in found if not table.view],
        "views": [table for table in found if table.view],
        "drawing": tables_drawing([table for table in found if not table.view], linked=True),
        "tables_path": str(visit.datasette.urls.database(database(visit.datasette).name)),
        "json": {"tables": found},
    }
