"""Joints, lift groups, pick points, gear and jobs: what points at nothing, disagrees, or nobody looked at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from handling_db.checker.evidence import Evidence, Path
from handling_db.checker.named import named, nothing_goes_by
from handling_db.errors import HandlingError
from handling_db.families.build import BuildError, worked_measure
from handling_db.findings import Finding
from handling_db.lifting.load.followed import followed
from handling_db.lifting.load.unit import way_in
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed

NAMED = {
    "joint": "within = component; between.* = component; ties.*.stays with = component; "
    "ties.*.listed in.*.source = source; parting aids.*.fixture = fixture",
    "lift group": "root = component; mover = mover; other half = lift group; parts joints.* = joint; "
    "trapped.*.fluid = component; packing.*.fixture = fixture; gear.*.gear = gear; picks.*.sling = gear; "
    "picks.*.links.* = gear; set down.fixture = fixture; turn.joint = joint; turn.side = lift group; "
    "turn.hold back.mover = mover",
    "gear": "shop = shop",
    "job": "unit = component; shop = shop; ties out.*.joint = joint; temporary ties.*.joint = joint; "
    "temporary ties.*.fixture = fixture; readings.*.lift group = lift group",
    "component": "holds in.*.part = component; pick points.*.through.*.part = component; "
    "pick points.*.blocked by.*.part = component",
}

# Ties that are pieces: without a part line their mass is in no total. Common practice, no source.
PIECES = ("bolts", "studs", "dowels", "pins", "pipes", "hoses", "shaft", "sleeve", "spline", "weight")


def lift_reference(evidence: Evidence) -> Iterator[Finding]:
    """An id in a joint, a lift group, a pick point, gear or a job that nothing goes by."""
    yield from nothing_goes_by(evidence, "lift-reference", named(evidence, NAMED))


def _ties(evidence: Evidence) -> Iterator[tuple[str, Joint, int]]:
    for code, joint in sorted(evidence.collection.joints.items()):
        if joint.within in evidence.collection.components:
            yield from ((code, joint, i) for i in range(len(joint.tie_list)))


def tie_part(evidence: Evidence) -> Iterator[Finding]:
    """A tie that names a part line that is not there, or a piece that names none."""
    for code, joint, i in _ties(evidence):
        tie = joint.tie_list[i]
        if tie.part is None:
            if tie.kind in PIECES and tie.there == "yes":
                yield evidence.at("joint", code, "ties", i).remark(
                    "tie-part",
                    f"{tie.what} ({tie.kind}) names no part line, so its mass is in no total;",
                    "name the part line under 'part', or leave it as a description.",
                )
        elif not recorded_way(evidence, joint.within, tie.part):
            yield evidence.at("joint", code, "ties", i, "part").fault(
                "tie-part",
                f"{' > '.join(tie.part)} is no way through the part lines of {joint.within};",
                "write the ids from the joint's 'within' down to the part.",
            )


def recorded_way(evidence: Evidence, start: str, way: Iterable[str]) -> bool:
    """Whether the part lines lead that way, in whatever build."""
    here = start
    for step in way:
        component = evidence.collection.components.get(here)
        lines = [x for x in component.parts if step in (x.component, x.key(here))] if component else []
        if len(lines) != 1:
            return False
        here = lines[0].component
    return True


def tie_count(evidence: Evidence) -> Iterator[Finding]:
    """A tie whose count is not that of the part line it names, in the default build."""
    for code, joint, i in _ties(evidence):
        tie = joint.tie_list[i]
        if tie.part is None or tie.count is None:
            continue
        pieces = _pieces(evidence, joint.within, tie.part)
        if pieces is None:
            continue
        try:
            count = worked_measure(
                tie.count,
                evidence.tree.nodes[evidence.node(joint.within) or 0][1],
                evidence.collection.components[joint.within].parameters,
            )
        except BuildError:
            continue
        if count != pieces:
            yield evidence.at("joint", code, "ties", i, "count").disagrees(
                "tie-count",
                f"{tie.what}: the joint has {count}, the part line {' > '.join(tie.part)} has {pieces};",
                "count again and correct one of the two.",
            )


def _pieces(evidence: Evidence, start: str, way: Iterable[str]) -> Fraction | None:
    """How many a way leads to in the default build; None where it leads nowhere."""
    node = evidence.node(start)
    pieces = Fraction(1)
    for step in way:
        if node is None:
            return None
        parent = evidence.tree.component(node)
        uses = [
            use
            for use in evidence.tree.uses[node]
            if step in (evidence.tree.component(use.child), use.line.key(parent))
        ]
        if len(uses) != 1:
            return None
        pieces *= uses[0].quantity
        node = uses[0].child
    return pieces


def tie_not_looked_for(evidence: Evidence) -> Iterator[Finding]:
    """A joint where nobody looked what holds it, or a tie that nobody looked for."""
    for code, joint in sorted(evidence.collection.joints.items()):
        if joint.ties is None:
            yield _nobody(evidence, code, (), f"nobody looked what holds {joint.name};")
        for i, tie in enumerate(joint.tie_list):
            if tie.there is None:
                yield _nobody(evidence, code, ("ties", i), f"nobody looked for {tie.what};")


def _nobody(evidence: Evidence, code: str, path: Path, sentence: str) -> Finding:
    return evidence.at("joint", code, *(path or ("joint",))).remark(
        "tie-not-looked-for", sentence, "look, then write 'there: yes', or 'there: none' with 'checked by'."
    )


def lift_group(evidence: Evidence) -> Iterator[Finding]:
    """A lift group that cannot be followed through the tree: a way that is not there, or mentioned twice."""
    for code, group in sorted(evidence.collection.lift_groups.items()):
        if group.root not in evidence.collection.components:
            continue  # said as an id that nothing goes by
        try:
            followed(evidence.collection, group)
        except HandlingError as error:
            path = _lost_way(evidence, group)
            yield evidence.at("lift group", code, *path).fault(
                "lift-group", f"{error};", "correct the way, from the root's child down."
            )


def _lost_way(evidence: Evidence, group: LiftGroup) -> Path:
    """The field of the first way that the part lines do not lead, else of all that is taken."""
    ways: list[tuple[Path, tuple[str, ...]]] = [(("takes", i), way.of) for i, way in enumerate(group.takes)]
    ways += [(("leaves", i), way.of) for i, way in enumerate(group.leaves)]
    lost = (path for path, way in ways if not recorded_way(evidence, group.root, way))
    return next(lost, ("takes",))


def pick_point(evidence: Evidence) -> Iterator[Finding]:
    """A pick point without a rating, or where it is not stated what the load is carried through."""
    for code, component in sorted(evidence.collection.components.items()):
        for i, point in enumerate(listed(component.pick_points)):
            missing = []
            if point.rated is None:
                missing.append("its rating")
            if point.through is None:
                missing.append("what the load is carried through")
            if missing:
                yield evidence.at("component", code, "pick points", i).remark(
                    "pick-point",
                    f"{point.name} of {component.name}: nobody looked for {' and '.join(missing)};",
                    "write it, or 'none' with 'checked by'; without a rating it is shown and never proposed.",
                )


def gear_inspection(evidence: Evidence) -> Iterator[Finding]:
    """Lifting gear past its inspection: its rating is shown struck and not used."""
    for code, gear in sorted(evidence.collection.gear.items()):
        due = gear.inspection_due
        if evidence.as_of is None or due is None or due >= evidence.as_of:
            continue
        yield evidence.at("gear", code, "inspection due").remark(
            "gear-inspection",
            f"{gear.name} was to be inspected by {due.isoformat()}, before {evidence.as_of.isoformat()}; "
            "its rating is not used;",
            "have it inspected and write the new date.",
        )


def job_record(evidence: Evidence) -> Iterator[Finding]:
    """A job that takes off what is not in its unit, or ticks a tie that its joint does not have."""
    collection = evidence.collection
    for code, job in sorted(collection.jobs.items()):
        for i, out in enumerate(job.ties_out):
            joint = collection.joints.get(out.joint)
            if joint is not None and out.tie not in [tie.key(joint.id) for tie in joint.tie_list]:
                yield _job_fault(
                    evidence, code, ("ties out", i, "tie"), f"{joint.name} has no tie {out.tie!r}"
                )
        if job.unit not in collection.components:
            continue
        for i, off in enumerate(job.off):
            try:
                way_in(collection, job, off.of)
            except HandlingError as error:
                yield _job_fault(evidence, code, ("off", i, "of"), str(error))


def _job_fault(evidence: Evidence, code: str, path: Path, sentence: str) -> Finding:
    return evidence.at("job", code, *path).fault(
        "job-record", f"{sentence};", "correct the id; a job is changed in its record and loses nothing."
    )
