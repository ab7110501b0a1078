"""What is open: figures that disagree, what to weigh, look at and review, what came from other shops."""

from __future__ import annotations

import datetime
import sqlite3
from typing import Any

from handling_db.database import queries
from handling_db.database.queries.collection import whole_collection
from handling_db.loading import from_database
from handling_db.lookup.as_json import plain
from handling_db.web.pages.sending import json_asked, page
from handling_db.web.site import today
from handling_db.web.turned import leaf

MOST = 60
FINDINGS = 200  # on a page
_ACTS = (("weigh", "To weigh"), ("look", "To look at"), ("review", "To review"))


async def checker(request: Any, datasette: Any) -> Any:
    """Every finding, grouped by verdict, the gravest first."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        counts = queries.findings_counted(connection)
        at = leaf(request, "/checker", sum(counts.values()), FINDINGS)
        # programs get all of them
        asked = None if json_asked(request) else (at.start, at.each)
        findings = queries.findings_for(connection, part=asked)
        groups: dict[str, list[Any]] = {}
        for finding in findings:
            groups.setdefault(finding.verdict, []).append(finding)
        stamp = queries.stamp(connection)
        return {
            "groups": list(groups.items()),
            "counts": counts,
            "leaf": at,
            "closing": stamp.closing,
            "stamp": stamp,
            "json": {"findings": findings, "closing": stamp.closing},
        }

    return await page(datasette, "checker.html", gather, request, json_asked(request))


async def gaps(request: Any, datasette: Any) -> Any:
    """What to weigh, look at or review next: what would help most lifts first."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.checker.gaps import gaps as all_gaps

        collection = whole_collection(connection)
        found = all_gaps(collection, as_of=datetime.date.fromisoformat(today()))
        handled = from_database(connection, reach="handled").records
        paths = {
            kind: dict.fromkeys(known, f"/{step}/")
            for kind, step, known in (
                ("component", "component", collection.components),
                ("lift group", "lift", handled.lift_groups),
                ("joint", "joint", handled.joints),
            )
        }
        groups = [(words, [gap for gap in found if gap.act == act]) for act, words in _ACTS]
        return {
            "groups": [(words, listed[:MOST], max(len(listed) - MOST, 0)) for words, listed in groups],
            "paths": paths,
            "noted": {note.id: note for note in queries.notes_for(connection)},
            "stamp": queries.stamp(connection),
            "json": {"gaps": plain(found)},
        }

    return await page(datasette, "gaps.html", gather, request, json_asked(request))


async def waiting(request: Any, datasette: Any) -> Any:
    """What came from other shops: what waits for somebody here, and what is in force and not looked at."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.records.versions import Wait, questions

        found = questions(whole_collection(connection))
        shown = [
            {
                "kind": one.kind,
                "id": one.id,
                "name": str(getattr(one.record, "name", None) or getattr(one.record, "text", None) or one.id),
                "shop": one.shop,
                "signed": one.signed,
                "wait": one.wait,
            }
            for one in found
        ]
        return {
            "groups": [
                ("Waits, and counts nowhere", [one for one in shown if one["wait"] is Wait.WAITS]),
                ("Stands beside a version of ours", [one for one in shown if one["wait"] is Wait.OTHER]),
                (
                    "Counts already, nobody here looked",
                    [one for one in shown if one["wait"] is Wait.UNREVIEWED],
                ),
            ],
            "stamp": queries.stamp(connection),
            "json": {"open": shown},
        }

    return await page(datasette, "waiting.html", gather, request, json_asked(request))
