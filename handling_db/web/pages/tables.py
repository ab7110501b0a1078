"""The page that explains the database: its tables, their columns, and a picture of what refers to what."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.database import queries
from handling_db.database.described import described
from handling_db.web.drawings.tables import tables_drawing
from handling_db.web.pages.sending import json_asked, page
from handling_db.web.site import database


async def tables(request: Any, datasette: Any) -> Any:
    """Tables, columns and ties, made from the schema; each leads to its rows."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        found = described()
        return {
            "tables": [table for table in found if not table.view],
            "views": [table for table in found if table.view],
            "drawing": tables_drawing([table for table in found if not table.view], linked=True),
            "tables_path": str(datasette.urls.database(database(datasette).name)),
            "stamp": queries.stamp(connection),
            "json": {"tables": found},
        }

    return await page(datasette, "tables.html", gather, request, json_asked(request))
