"""What is open: figures that disagree, what to weigh, look at and review, what came from other shops."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.database import queries
from handling_db.database.queries.collection import whole_collection
from handling_db.loading import from_database
from handling_db.lookup.as_json import plain
from handling_db.web.pages.listed import grouped
from handling_db.web.pages.sending import Visit, shown
from handling_db.web.turned import leaf

MOST = 60
FINDINGS = 200  # on a page
_ACTS = (("weigh", "To weigh"), ("look", "To look at"), ("review", "To review"))


@shown("checker.html")
def checker(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Every finding, grouped by verdict, the gravest first."""
    counts = queries.findings_counted(connection)
    at = leaf(visit.request, "/checker", sum(counts.values()), FINDINGS)
    # programs get all of them
    asked = None if visit.as_json else (at.start, at.each)
    findings = queries.findings_for(connection, part=asked)
    return {
        "groups": grouped(findings, lambda finding: finding.verdict),
        "counts": counts,
        "leaf": at,
        "closing": visit.stamp.closing,
        "json": {"findings": findings, "closing": visit.stamp.closing},
    }


@shown("gaps.html")
def gaps(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What to weigh, look at or review next: what would help most lifts first."""
    from handling_db.checker.gaps import gaps as all_gaps

    collection = whole_collection(connection)
    found = all_gaps(collection, as_of=visit.day)
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
        "json": {"gaps": plain(found)},
    }


@shown("waiting.html")
def waiting(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What came from other shops: what waits for somebody here, and what is in force and not looked at."""
    from handling_db.records.versions import Wait, questions

    found = questions(whole_collection(connection))
    listed = [
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
            ("Waits, and counts nowhere", [one for one in listed if one["wait"] is Wait.WAITS]),
            ("Stands beside a version of ours", [one for one in listed if one["wait"] is Wait.OTHER]),
            (
                "Counts already, nobody here looked",
                [one for one in listed if one["wait"] is Wait.UNREVIEWED],
            ),
        ],
        "json": {"open": listed},
    }
