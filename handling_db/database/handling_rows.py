"""Rows of what is handled with: gear, pallets, joints and ties, lifts with their gear and picks, jobs.

They hold what one asks across records, such as which lifts use a sling; everything else of a record stands in
`record`. Ratings, limits and own masses are REAL kilograms beside the texts as written.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handling_db.database.rows import RowsByTable
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.versions import came_from, unreviewed

OF_HANDLING = {
    "gear": "gear",
    "pallet": "pallet",
    "joint": "joint",
    "lift group": "lift",
    "job": "job",
    "job plan": "job_plan",
}


def number_handling(rows: RowsByTable, collection: Collection) -> None:
    """Give gear, pallets, joints, lifts and jobs their keys."""
    for kind, table in OF_HANDLING.items():
        rows.number(table, collection.of_kind(kind))


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
        rows.add(
            "job_plan", key, code, plan.name, rows.id("component", plan.unit), _text(plan.serial),
            rows.id("shop", plan.shop), plan.reverse_of, plan.remark,
        )  # fmt: skip
        for position, step in enumerate(plan.steps, 1):
            rows.add(
                "job_plan_step", key, position, step.id, step.do, step.what, rows.id("lift", step.lift_group),
                rows.id("joint", step.joint), rows.id("mover", step.mover),
                rows.id("fixture", step.rests.fixture if step.rests else None),
            )  # fmt: skip


def _kg(value: object) -> float | None:
    return float(value.base) if isinstance(value, Quantity) else None


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _listed(value: Any) -> Sequence[Any]:
    """The items of a field that somebody looked at; none where it says none, or nobody looked."""
    return value if isinstance(value, tuple) else ()


def _gear(rows: RowsByTable, collection: Collection) -> None:
    for code, gear in sorted(collection.gear.items()):
        key = rows.id("gear", code)
        rows.add(
            "gear", key, code, gear.name, gear.kind, rows.id("shop", gear.shop), _text(gear.count),
            _text(gear.own_mass), _kg(gear.own_mass), _text(gear.inspection_due), gear.remark,
        )  # fmt: skip
        for position, tag in enumerate(_listed(gear.tag)):
            rows.add(
                "gear_rating", key, position, _text(tag.legs), _text(tag.up_to), tag.hitch, str(tag.rated),
                _kg(tag.rated),
            )  # fmt: skip
    for code, pallet in sorted(collection.pallets.items()):
        rows.add(
            "pallet", rows.id("pallet", code), code, pallet.name, pallet.kind, rows.id("shop", pallet.shop),
            _text(pallet.own_mass), _kg(pallet.own_mass), _text(pallet.board_limit), _kg(pallet.board_limit),
            _text(pallet.inspection_due), pallet.remark,
        )  # fmt: skip


def _joints(rows: RowsByTable, collection: Collection) -> None:
    for code, joint in sorted(collection.joints.items()):
        key = rows.id("joint", code)
        sides = (rows.id("component", side) for side in joint.between)
        rows.add(
            "joint",
            key,
            code,
            joint.name,
            rows.id("component", joint.within),
            *sides,
            joint.ties_listed,
            joint.remark,
        )
        for position, tie in enumerate(joint.tie_list):
            rows.add(
                "tie", key, position, tie.key(code), tie.kind, tie.what, _text(tie.there), _text(tie.count),
                _text(tie.hidden), tie.under, _text(tie.holds_up_to), _kg(tie.holds_up_to),
            )  # fmt: skip


def _points(rows: RowsByTable, collection: Collection) -> None:
    for code, component in sorted(collection.components.items()):
        key = rows.id("component", code)
        for position, point in enumerate(_listed(component.pick_points)):
            rows.add("pick_point", key, position, point.id, point.name, point.rated_by)
            for number, rating in enumerate(_listed(point.rated)):
                rows.add(
                    "pick_point_rating",
                    key,
                    position,
                    number,
                    str(rating.up_to),
                    str(rating.rated),
                    _kg(rating.rated),
                )


def _lifts(rows: RowsByTable, collection: Collection) -> None:
    for code, lift in sorted(collection.lift_groups.items()):
        key = rows.id("lift", code)
        rows.add(
            "lift", key, code, lift.name, rows.id("component", lift.root), rows.id("mover", lift.mover),
            lift.other_half, lift.remark,
        )  # fmt: skip
        used = [(one.gear, str(one.count), "on the hook") for one in _listed(lift.gear)]
        for position, pick in enumerate(_listed(lift.picks)):
            rows.add("lift_pick", key, position, pick.point, rows.id("gear", pick.sling), pick.hitch)
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
        rows.add(
            "job", key, code, rows.id("component", job.unit), _text(job.serial), rows.id("shop", job.shop),
            job.opened.on.isoformat(), job.closed.on.isoformat() if job.closed else None, job.remark,
        )  # fmt: skip
        position = 0
        for tie in job.ties_out:
            rows.add(
                "job_tie",
                key,
                position,
                rows.id("joint", tie.joint),
                tie.tie,
                0,
                None,
                None,
                tie.on.isoformat(),
            )
            position += 1
        for put in job.temporary_ties:
            out = put.out.on.isoformat() if put.out else None
            rows.add(
                "job_tie", key, position, rows.id("joint", put.joint), put.id, 1, put.what, put.out_by, out
            )
            position += 1
