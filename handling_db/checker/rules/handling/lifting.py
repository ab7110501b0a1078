"""Joints, lift groups, pick points, gear and jobs: what points at nothing, disagrees, or nobody looked at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from handling_db.checker.evidence import Evidence, Path, field_text, nothing_there
from handling_db.errors import HandlingError
from handling_db.families.build import BuildError, worked_measure
from handling_db.findings import Finding, Verdict, fault
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.unit import way_in
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed

# kind of record it stands in, id of the record, path of the field, kind it points at, id it points at
Reference = tuple[str, str, Path, str, str | None]

# Ties that are pieces: without a part line their mass is in no total. Common practice, no source.
PIECES = ("bolts", "studs", "dowels", "pins", "pipes", "hoses", "shaft", "sleeve", "spline", "weight")


def lift_reference(evidence: Evidence) -> Iterator[Finding]:
    """An id in a joint, a lift group, a pick point, gear or a job that nothing goes by."""
    for kind, record, path, target, wanted in _references(evidence):
        if wanted is None or not evidence.absent(target, wanted):
            continue
        sentence = f"there is no {target} {wanted!r};"
        yield nothing_there(evidence, "lift-reference", (kind, record, path), target, sentence)


def _references(evidence: Evidence) -> Iterator[Reference]:
    collection = evidence.collection
    for code, joint in sorted(collection.joints.items()):
        yield "joint", code, ("within",), "component", joint.within
        for i, side in enumerate(joint.between):
            yield "joint", code, ("between", i), "component", side
        for i, tie in enumerate(joint.tie_list):
            yield "joint", code, ("ties", i, "stays with"), "component", tie.stays_with
            for j, document in enumerate(tie.listed_in):
                yield "joint", code, ("ties", i, "listed in", j, "source"), "source", document.source
        for i, aid in enumerate(listed(joint.parting_aids)):
            yield "joint", code, ("parting aids", i, "fixture"), "fixture", aid.fixture
    for code, group in sorted(collection.lift_groups.items()):
        yield from _group_references(code, group)
    for code, gear in sorted(collection.gear.items()):
        yield "gear", code, ("shop",), "shop", gear.shop
    for code, job in sorted(collection.jobs.items()):
        yield "job", code, ("unit",), "component", job.unit
        yield "job", code, ("shop",), "shop", job.shop
        for i, out in enumerate(job.ties_out):
            yield "job", code, ("ties out", i, "joint"), "joint", out.joint
        for i, temporary in enumerate(job.temporary_ties):
            yield "job", code, ("temporary ties", i, "joint"), "joint", temporary.joint
            yield "job", code, ("temporary ties", i, "fixture"), "fixture", temporary.fixture
        for i, seen in enumerate(job.readings):
            yield "job", code, ("readings", i, "lift group"), "lift group", seen.lift_group
    for code, component in sorted(collection.components.items()):
        for i, held in enumerate(listed(component.holds_in)):
            yield "component", code, ("holds in", i, "part"), "component", held.part
        for i, point in enumerate(listed(component.pick_points)):
            for j, through in enumerate(listed(point.through)):
                yield "component", code, ("pick points", i, "through", j, "part"), "component", through.part
            for j, cover in enumerate(listed(point.blocked_by)):
                yield "component", code, ("pick points", i, "blocked by", j, "part"), "component", cover.part


def _group_references(code: str, group: LiftGroup) -> Iterator[Reference]:
    yield "lift group", code, ("root",), "component", group.root
    yield "lift group", code, ("mover",), "mover", group.mover
    yield "lift group", code, ("other half",), "lift group", group.other_half
    for i, name in enumerate(group.parts_joints):
        yield "lift group", code, ("parts joints", i), "joint", name
    for i, trapped in enumerate(listed(group.trapped)):
        yield "lift group", code, ("trapped", i, "fluid"), "component", trapped.fluid
    for i, packed in enumerate(listed(group.packing)):
        yield "lift group", code, ("packing", i, "fixture"), "fixture", packed.fixture
    for i, used in enumerate(listed(group.gear)):
        yield "lift group", code, ("gear", i, "gear"), "gear", used.gear
    for i, pick in enumerate(listed(group.picks)):
        yield "lift group", code, ("picks", i, "sling"), "gear", pick.sling
        for j, link in enumerate(pick.links):
            yield "lift group", code, ("picks", i, "links", j), "gear", link
    if group.set_down is not None:
        yield "lift group", code, ("set down", "fixture"), "fixture", group.set_down.fixture
    if group.turn is not None:
        yield "lift group", code, ("turn", "joint"), "joint", group.turn.joint
        yield "lift group", code, ("turn", "side"), "lift group", group.turn.side
        if group.turn.hold_back is not None:
            yield "lift group", code, ("turn", "hold back", "mover"), "mover", group.turn.hold_back.mover


def _ties(evidence: Evidence) -> Iterator[tuple[str, Joint, int]]:
    for code, joint in sorted(evidence.collection.joints.items()):
        if joint.within in evidence.collection.components:
            yield from ((code, joint, i) for i in range(len(joint.tie_list)))


def tie_part(evidence: Evidence) -> Iterator[Finding]:
    """A tie that names a part line that is not there, or a piece that names none."""
    for code, joint, i in _ties(evidence):
        tie = joint.tie_list[i]
        path: Path = ("ties", i, "part")
        if tie.part is None:
            if tie.kind in PIECES and tie.there == "yes":
                yield Finding(
                    "tie-part",
                    Verdict.REMARK,
                    code,
                    f"{tie.what} ({tie.kind}) names no part line, so its mass is in no total;",
                    "name the part line under 'part', or leave it as a description.",
                    evidence.place("joint", code, "ties", i),
                    field_text(("ties", i)),
                )
        elif not recorded_way(evidence, joint.within, tie.part):
            yield fault(
                evidence.place("joint", code, *path),
                field_text(path),
                f"{' > '.join(tie.part)} is no way through the part lines of {joint.within};",
                "write the ids from the joint's 'within' down to the part.",
                rule="tie-part",
                about=code,
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
            path: Path = ("ties", i, "count")
            yield Finding(
                "tie-count",
                Verdict.DISAGREES,
                code,
                f"{tie.what}: the joint has {count}, the part line {' > '.join(tie.part)} has {pieces};",
                "count again and correct one of the two.",
                evidence.place("joint", code, *path),
                field_text(path),
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
    return Finding(
        "tie-not-looked-for",
        Verdict.REMARK,
        code,
        sentence,
        "look, then write 'there: yes', or 'there: none' with 'checked by'.",
        evidence.place("joint", code, *(path or ("joint",))),
        field_text(path or ("joint",)),
    )


def lift_group(evidence: Evidence) -> Iterator[Finding]:
    """A lift group that cannot be followed through the tree: a way that is not there, or mentioned twice."""
    for code, group in sorted(evidence.collection.lift_groups.items()):
        if group.root not in evidence.collection.components:
            continue  # said as an id that nothing goes by
        try:
            group_mass(evidence.collection, group)
        except HandlingError as error:
            path = _lost_way(evidence, group)
            yield fault(
                evidence.place("lift group", code, *path),
                field_text(path),
                f"{error};",
                "correct the way, from the root's child down.",
                rule="lift-group",
                about=code,
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
                path: Path = ("pick points", i)
                yield Finding(
                    "pick-point",
                    Verdict.REMARK,
                    code,
                    f"{point.name} of {component.name}: nobody looked for {' and '.join(missing)};",
                    "write it, or 'none' with 'checked by'; without a rating it is shown and never proposed.",
                    evidence.place("component", code, *path),
                    field_text(path),
                )


def gear_inspection(evidence: Evidence) -> Iterator[Finding]:
    """Lifting gear past its inspection: its rating is shown struck and not used."""
    for code, gear in sorted(evidence.collection.gear.items()):
        due = gear.inspection_due
        if evidence.as_of is None or due is None or due >= evidence.as_of:
            continue
        yield Finding(
            "gear-inspection",
            Verdict.REMARK,
            code,
            f"{gear.name} was to be inspected by {due.isoformat()}, before {evidence.as_of.isoformat()}; "
            "its rating is not used;",
            "have it inspected and write the new date.",
            evidence.place("gear", code, "inspection due"),
            "inspection due",
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
    return fault(
        evidence.place("job", code, *path),
        field_text(path),
        f"{sentence};",
        "correct the id; a job is changed in its record and loses nothing.",
        rule="job-record",
        about=code,
    )
