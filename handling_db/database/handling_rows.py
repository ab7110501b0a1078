"""Rows of what is handled with: gear, pallets, joints and ties, lifts with their gear and picks, jobs.

They hold what one asks across records, such as which lifts use a sling; everything else of a record stands in
`record`. Ratings, limits and own masses are REAL kilograms beside the texts as written.
"""

from __future__ import annotations

from handling_db.database.rows import RowsByTable
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.parts.three_valued import listed
from handling_db.records.versions import came_from, unreviewed


def handling_rows(rows: RowsByTable, collection: Collection) -> None:
    """Gather the rows of everything that components are handled with."""
    _gear(rows, collection)
    _joints(rows, collection)
    _points(rows, collection)
    _lifts(rows, collection)
    _jobs(rows, collection)
    _plans(rows, collection)
    _limits(rows, collection)
    still_open = unreviewed(collection)
    for (kind, code), words in sorted(came_from(collection).items()):
        rows.add("came_from", kind, code, words, int((kind, code) not in still_open))


_LIMITS = {"rated": "rated", "rated_load": "rated", "own_mass": "own mass", "hand_limit": "hand limit"}


def _limits(rows: RowsByTable, collection: Collection) -> None:
    for kind in ("mover", "fixture", "packing", "shop"):
        for code, record in sorted(collection.of_kind(kind).items()):
            for field, what in _LIMITS.items():
                value = getattr(record, field, None)
                if isinstance(value, Quantity):
                    rows.add("limit_kg", kind, code, what, float(value.base))
    for code, mover in sorted(collection.movers.items()):
        key = rows.id("mover", code)
        plate = [
            (one.attachment, one.load_centre, one.height, None, None, one.capacity) for one in mover.plate
        ]
        chart = [(None, None, None, one.radius, one.boom, one.capacity) for one in mover.chart]
        for position, (attachment, *lengths, rated) in enumerate([*plate, *chart]):
            metres = (None if length is None else float(length.base) for length in lengths)
            rows.add("mover_rating", key, position, attachment, *metres, str(rated), float(rated.base))


def _plans(rows: RowsByTable, collection: Collection) -> None:
    for code, plan in sorted(collection.job_plans.items()):
        key = rows.id("job_plan", code)
        rows.put("job_plan", plan)
        for position, step in enumerate(plan.steps, 1):
            lift, rests = rows.id("lift", step.lift_group), step.rests.fixture if step.rests else None
            more = {"act": step.do, "lift": lift, "fixture": rows.id("fixture", rests)}
            rows.put("job_plan_step", step, plan=key, position=position, **more)


def _gear(rows: RowsByTable, collection: Collection) -> None:
    for code, gear in sorted(collection.gear.items()):
        rows.put("gear", gear)
        for position, tag in enumerate(listed(gear.tag)):
            rows.put("gear_rating", tag, gear=rows.id("gear", code), position=position)
    for _, pallet in sorted(collection.pallets.items()):
        rows.put("pallet", pallet)


def _joints(rows: RowsByTable, collection: Collection) -> None:
    for code, joint in sorted(collection.joints.items()):
        one, other = (rows.id("component", side) for side in joint.between)
        rows.put("joint", joint, one_side=one, other_side=other)
        for position, tie in enumerate(joint.tie_list):
            rows.put("tie", tie, joint=rows.id("joint", code), position=position, code=tie.key(code))


def _points(rows: RowsByTable, collection: Collection) -> None:
    for code, component in sorted(collection.components.items()):
        key = rows.id("component", code)
        for position, point in enumerate(listed(component.pick_points)):
            rows.put("pick_point", point, component=key, position=position)
            for number, rating in enumerate(listed(point.rated)):
                rows.put("pick_point_rating", rating, component=key, point=position, position=number)


def _lifts(rows: RowsByTable, collection: Collection) -> None:
    for code, lift in sorted(collection.lift_groups.items()):
        key = rows.id("lift", code)
        rows.put("lift", lift)
        used = [(one.gear, str(one.count), "on the hook") for one in listed(lift.gear)]
        for position, pick in enumerate(listed(lift.picks)):
            rows.put("lift_pick", pick, lift=key, position=position)
            used += [(pick.sling, "1", "sling")] if pick.sling else []
            used += [(link, "1", "link") for link in pick.links]
        known = [(gear, *rest) for code_, *rest in used if (gear := rows.id("gear", code_)) is not None]
        for position, one in enumerate(known):
            rows.add("lift_gear", key, position, *one)
        joints = [found for one in lift.parts_joints if (found := rows.id("joint", one)) is not None]
        for position, found in enumerate(joints):
            rows.add("lift_joint", key, position, found)


def _jobs(rows: RowsByTable, collection: Collection) -> None:
    for code, job in sorted(collection.jobs.items()):
        key = rows.id("job", code)
        closed = job.closed.on if job.closed else None
        rows.put("job", job, opened_on=job.opened.on, closed_on=closed)
        for position, tie in enumerate(job.ties_out):
            never = {"what": None, "out_by": None}
            rows.put("job_tie", tie, job=key, position=position, temporary=0, out_on=tie.on, **never)
        for position, put in enumerate(job.temporary_ties, len(job.ties_out)):
            out = put.out.on if put.out else None
            rows.put("job_tie", put, job=key, position=position, tie=put.id, temporary=1, out_on=out)
