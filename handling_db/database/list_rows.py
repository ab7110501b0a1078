"""Rows of everything around the components: sources, weighings, notes, fixtures, shops, findings, texts."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from handling_db.database.handling_rows import handling_rows
from handling_db.database.rows import RowsByTable, lines
from handling_db.database.units import Key, unit_of_component, units
from handling_db.findings import Finding
from handling_db.lookup.weight import fits_text
from handling_db.records.collection import Collection
from handling_db.records.kinds.note import Note
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.open_job import open_job
from handling_db.records.written import written
from handling_db.weights.witness import readings_of

# By kind of record, the table in which each has a row of its own.
NUMBERED = {
    "source kind": "source_kind",
    "shop": "shop",
    "source": "source",
    "component": "component",
    "fixture": "fixture",
    "mover": "mover",
    "note": "note",
    "weighing": "weighing",
    "gear": "gear",
    "pallet": "pallet",
    "joint": "joint",
    "lift group": "lift",
    "job": "job",
    "job plan": "job_plan",
}


def number_all(rows: RowsByTable, collection: Collection) -> None:
    """Give every record that has a row its key."""
    for kind, table in NUMBERED.items():
        rows.number(table, collection.of_kind(kind))


def list_rows(rows: RowsByTable, collection: Collection) -> None:
    """Gather the rows of everything but components, findings and texts."""
    _sources(rows, collection)
    _weighings(rows, collection)
    _notes(rows, collection)
    _fixtures(rows, collection)
    _shops(rows, collection)
    _open_jobs(rows, collection)
    handling_rows(rows, collection)


def record_rows(rows: RowsByTable, collection: Collection) -> dict[Key, str]:
    """Gather every record as JSON text; by record, the unit that it is in."""
    found = {(kind, one.id): (one, written(kind, one)) for kind, one in collection.records()}
    unit = units(found)
    for key, (_, plain) in found.items():
        # JSON: read back without YAML, several times quicker; the same plain texts under the same names
        of = unit_of_component(unit.get(key, ""))
        rows.add("record", None, *key, of, json.dumps(plain, ensure_ascii=False))
    return {key: unit.get(key, "") for key in found}


def _sources(rows: RowsByTable, collection: Collection) -> None:
    for _, kind in sorted(collection.source_kinds.items()):
        rows.put("source_kind", kind, rank=float(kind.rank))
    for _, source in sorted(collection.sources.items()):
        instrument = source.instrument
        rows.put(
            "source",
            source,
            by_whom=source.by,
            day=source.on,
            instrument=instrument.name if instrument else None,
            step=instrument.step if instrument else None,
            check_due=instrument.check_due if instrument else None,
        )


def _replaced_by(records: Mapping[str, Note | Weighing]) -> dict[str, str]:
    """By id of a record that was replaced, the id of the one that replaces it."""
    return {one.replaces: code for code, one in sorted(records.items()) if one.replaces is not None}


def _weighings(rows: RowsByTable, collection: Collection) -> None:
    newer = _replaced_by(collection.weighings)
    for code, weighing in sorted(collection.weighings.items()):
        rows.put(
            "weighing",
            weighing,
            component=rows.id("component", weighing.of),
            readings=readings_of(weighing)[2],
            day=weighing.on,
            by_whom=weighing.by,
            replaced_by=newer.get(code),
        )


def _notes(rows: RowsByTable, collection: Collection) -> None:
    newer = _replaced_by(collection.notes)
    for code, note in sorted(collection.notes.items()):
        component, name = _about(rows, collection, note)
        rows.put(
            "note",
            note,
            about_kind=note.about.kind,
            about=note.about.id,
            component=component,
            about_name=name,
            fits=lines(fits_text(fits) for fits in note.fits),
            day=note.on,
            seen=note.seen or (f"{note.times_seen} times" if note.times_seen is not None else None),
            replaced_by=newer.get(code),
        )


def _about(rows: RowsByTable, collection: Collection, note: Note) -> tuple[int | None, str]:
    """The component that a note is read with, and the name of what it is about.

    A note about a joint, a tie, a lift group or a pick point is read with the component these stand with, so
    that whoever looks that up does not miss it.
    """
    kind, code = note.about.kind, note.about.id
    component, name = code, code
    if kind == "component" and code in collection.components:
        name = collection.components[code].name
    elif kind == "fixture" and code in collection.fixtures:
        return None, collection.fixtures[code].name
    elif kind == "joint" and code in collection.joints:
        component, name = collection.joints[code].within, collection.joints[code].name
    elif kind == "lift group" and code in collection.lift_groups:
        component, name = collection.lift_groups[code].root, collection.lift_groups[code].name
    elif kind == "tie":
        for joint in collection.joints.values():
            for tie in joint.ties if isinstance(joint.ties, tuple) else ():
                if tie.id == code:
                    component, name = joint.within, tie.what
    elif kind == "pick point":
        for one in collection.components.values():
            for point in one.pick_points if isinstance(one.pick_points, tuple) else ():
                if point.id == code:
                    component, name = one.id, point.name
    return rows.id("component", component), name


def _fixtures(rows: RowsByTable, collection: Collection) -> None:
    for code, fixture in sorted(collection.fixtures.items()):
        key = rows.id("fixture", code)
        rows.put("fixture", fixture)
        known = [need for need in fixture.needed_by if rows.id("component", need.component)]
        for position, need in enumerate(known):
            rows.put("fixture_need", need, fixture=key, position=position, act=need.for_)
        for position, used in enumerate(fixture.used_instead):
            rows.put("fixture_instead", used, fixture=key, position=position)


def _shops(rows: RowsByTable, collection: Collection) -> None:
    for _, mover in sorted(collection.movers.items()):
        rows.put("mover", mover)
    for code, shop in sorted(collection.shops.items()):
        key = rows.id("shop", code)
        rules = lines(" ".join(rule.split()) for rule in shop.rules)
        rows.put("shop", shop, rules=rules)
        there = [mover for mover, record in sorted(collection.movers.items()) if record.shop == code]
        movers = [*shop.movers, *(mover for mover in there if mover not in shop.movers)]
        for table, kind, codes in (
            ("shop_mover", "mover", movers),
            ("shop_fixture", "fixture", shop.fixtures),
            ("shop_scale", "source", shop.scales),
        ):
            known = [found for one in codes if (found := rows.id(kind, one)) is not None]
            for position, found in enumerate(known):
                rows.add(table, key, position, found)


def _open_jobs(rows: RowsByTable, collection: Collection) -> None:
    for _, record in sorted(collection.jobs.items()):
        job = open_job(record.as_written())
        if job is not None:
            rows.add("open_job", job.id, job.unit, job.serial, "\n".join(job.ties), job.brief)


def finding_rows(rows: RowsByTable, findings: Iterable[Finding]) -> None:
    """Gather the rows of findings, in the order they come."""
    for finding in findings:
        figures = [[name, float(low), float(high)] for name, low, high in finding.figures]
        gap = finding.gap
        rows.put(
            "finding",
            finding,
            id=None,
            component=rows.id("component", finding.about),
            file=finding.place.file if finding.place else None,
            line=finding.place.line if finding.place else None,
            gap_low_kg=float(gap[0]) if gap else None,
            gap_high_kg=float(gap[1]) if gap else None,
            figures=json.dumps(figures) if figures else None,
            because_of="\n".join(finding.because_of),
        )
