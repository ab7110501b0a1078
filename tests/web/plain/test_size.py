"""A copy of the demo stays small enough to be sent: its most numerous pages, by a few of each kind."""

from __future__ import annotations

import asyncio
import sqlite3
from pathlib import Path

import pytest

from handling_db.web.plain.asking import ask_view
from handling_db.web.serving import application

MOST = 5_000_000  # bytes of the whole copy
# Lifts with their sheets, tags and cards, sources, lists, indexes, styles, and what large assemblies have more than
# a piece: as the whole copy of the demo had them when it was last weighed, 4.8 MB in all. Not measured here.
OTHERS = 2_250_000
EVERY = 23  # of so many pieces one is looked at


@pytest.mark.slow
def test_the_copy_of_the_demo_stays_under_five_megabytes(demo_db: Path) -> None:
    connection = sqlite3.connect(demo_db)
    pieces = [code for (code,) in connection.execute("select code from component order by code")]
    (shops,) = connection.execute("select count(*) from shop").fetchone()
    connection.close()
    served = application(demo_db)
    # how many pages of each kind the copy has of a piece: by hand without a shop, and with each
    kinds = {"component": 1, "hands": 1 + shops, "move": 1, "fixtures": 1}

    async def ask_all() -> dict[str, list[int]]:
        return {
            kind: [
                len((await ask_view(served.client.app, f"/{kind}/{code}")).body) for code in pieces[::EVERY]
            ]
            for kind in kinds
        }

    sizes = asyncio.run(ask_all())
    assert all(size > 1_000 for found in sizes.values() for size in found), sizes
    of_pieces = sum(len(pieces) * kinds[kind] * sum(found) / len(found) for kind, found in sizes.items())
    assert of_pieces + OTHERS < MOST, {kind: sum(found) / len(found) for kind, found in sizes.items()}
