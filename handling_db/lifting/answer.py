"""One lift from records to figures: everything a lift sheet prints, what is not known first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from handling_db.families.serials import serial_ranges
from handling_db.lifting.breaking import breaking_figure
from handling_db.lifting.case import Case, LiftQuestion, picks_of, shop_of, work
from handling_db.lifting.extras import FLUID, GEAR, PACKING
from handling_db.lifting.figures import (
    CAUTIONS,
    CentreFigure,
    LegsFigure,
    LiftAnswer,
    MassLine,
    NamedThing,
    Piece,
    PointFigure,
    ReadingFigure,
)
from handling_db.lifting.hook import headroom_figure, mover_figure, sudden_figures
from handling_db.lifting.line.gear import gear_below
from handling_db.lifting.line.table import with_links
from handling_db.lifting.load.carried import at_datum, at_line
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.open_ranges import open_ranges
from handling_db.lifting.points import point_figures
from handling_db.lifting.ratings import struck
from handling_db.lifting.said.first_lines import LiftGaps, gathered
from handling_db.lifting.said.notes import touching
from handling_db.lifting.set_down import landing_figure, set_down_figure
from handling_db.lifting.ties import crossed, joint_figures, looked
from handling_db.mechanics.vectors import apply, transpose
from handling_db.quantities.amount import Amount
from handling_db.quantities.mass import add_masses
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.crane import PLANNING_PART
from handling_db.weights.conflicts import COMMON, few_of

EDGES = {
    "yes": "edge protected",
    "no": "edge not protected",
    None: "edge protection nobody looked",
}  # by whether it is protected there
_NAMED = 3  # records that a serial number lies outside of are named; the rest are counted


def lift_answer(collection: Collection, name: str, question: LiftQuestion | None = None) -> LiftAnswer:
    """Everything about one lift.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group.
    question : LiftQuestion, optional

    Returns
    -------
    LiftAnswer
        Figures, not permission: what is not known first, cautions always.

    Raises
    ------
    UnknownNameError, WayError, BuildError, StaticsError
        As `work`.
    """
    return answer_of(work(collection, name, question or LiftQuestion()))


def answer_of(case: Case, more: Iterable[Notice] = ()) -> LiftAnswer:
    """The plain answer of a lift that is worked out.

    Parameters
    ----------
    case : Case
    more : iterable of Notice
        From elsewhere: they take their place among what stands first.
    """
    collection, group, question, mass = case.collection, case.group, case.question, case.mass
    root = collection.components[group.root]
    crossing = crossed(collection, mass.ways, mass.sides)
    joint_ids = tuple(dict.fromkeys((*group.parts_joints, *crossing)))
    joints = joint_figures(collection, joint_ids, question.job)
    used = [pick.point for pick, _ in picks_of(group, question)]
    points = point_figures(collection, mass, question.job, used)
    mover = collection.movers.get(group.mover or "")
    shop = shop_of(collection, group, question)
    planning = float(shop.planning.share) if shop and shop.planning else PLANNING_PART
    crane = None
    if mover is not None:
        crane = mover_figure(mover, group, case.expected, case.rigging, planning, question)
    serial = question.serial if question.job is None else question.job.serial
    legs = _with_blocked(with_links(case.worked.legs, case.line), points) if case.worked else None
    load = case.load if mass.pieces is not None else None
    stop = case.stop
    answer = LiftAnswer(
        id=group.id,
        name=group.name,
        root=group.root,
        root_name=root.name,
        build=mass.build,
        job=question.job.id if question.job else "",
        serial="" if serial is None else str(serial),
        shop=shop.name if shop else "",
        as_of=question.as_of.isoformat() if question.as_of else "",
        first=(),
        inside=tuple(_inside(collection, mass, index) for index in mass.inside),
        outside=tuple(_outside(collection, mass, index) for index in mass.outside),
        group=mass.pieces,
        lift=load,
        missing=mass.missing,
        additions=_additions(case),
        attitude=group.attitude or "",
        attitude_name=case.attitude.name if case.attitude else "attitude: nobody looked",
        up=apply(transpose(case.turn), (0.0, 0.0, 1.0)),
        frame=_frame_words(collection, group),
        centre=_centre(case),
        no_centre=case.no_centre,
        reading=ReadingFigure(
            expected=case.expected.load,
            zeroed={None: "", True: "yes", False: "no"}[case.rigging.zeroed],
            gear_below=gear_below(case.rigging),
            look_again_kg=case.expected.look_again_kg,
            look_again_below_kg=_look_again_below(case),
            cell=_cell_words(case),
            stops=stop.limits if stop else (),
            not_known=stop.not_known if stop else (Notice("not worked out", {"why": case.no_stop}),),
        ),
        legs=legs,
        no_legs=case.no_legs,
        points=points,
        ratings=case.line,
        joints=joints,
        headroom=headroom_figure(mover, group, joints, case.worked),
        mover=crane,
        sudden=sudden_figures(case.expected, stop, question.drop_m, question.stretch_m),
        set_down=set_down_figure(collection, group, mass),
        landing=landing_figure(collection, group, case.expected.load.high),
        breaking=breaking_figure(case, joint_ids),
        jobs=open_jobs(collection, group.root, serial, question.job.id if question.job else ""),
        notes=touching(collection, mass, joint_ids, used, serial=serial, as_of=question.as_of),
        edges=tuple(
            Notice(EDGES[edge.protected], {"what": edge.what, "by": edge.by or ""})
            for edge in listed(group.edges)
        ),
        edges_words=looked(group.edges, group.checked_by),
        tag_lines=tuple(
            f"{line.at}{f': {line.what}' if line.what else ''}" for line in listed(group.tag_lines)
        ),
        tag_lines_words=looked(group.tag_lines, group.checked_by),
        weigh=tuple(NamedThing(component.id, component.name) for component in mass.unknown),
        other_half=case.other,
        other_half_name=case.other_name,
        stop_and_ask=group.stop_and_ask,
        cautions=CAUTIONS,
        sources=tuple(dict.fromkeys(c.source for c in mass.carried if c.source)),
        kinds_of_source=tuple(c.source.partition(":")[0] for c in mass.carried if c.source),
        remark=group.remark or "",
        picks_room=case.worked.picks_room if case.worked else (),
        hook_room=case.worked.hook_room if case.worked else None,
        ranges=open_ranges(mass, case.rigging),
    )
    first = gathered(
        answer,
        LiftGaps(
            joints_unknown=[j for j in group.parts_joints if j not in collection.joints],
            nobody=_nobody(case, points),
            ranges=(*_ranges(case), *disputes(mass)),
            other_missing=case.other_missing,
            overdue=[(g.name, why) for g in case.rigging.items if (why := struck(g, question.as_of))],
            unknown=_unknown(case),
        ),
        job=question.job,
        joints_listed=group.parts_joints,
        more=(
            *(legs.notices if legs else ()),
            *([Notice("cannot meet", {"why": case.no_legs})] if case.cannot_meet else ()),
            *_serials(case, serial),
            *more,
        ),
    )
    return replace(answer, first=first)


def _serials(case: Case, serial: int | None) -> list[Notice]:
    """That the serial number is not one that the unit, the lift or a piece in it fits."""
    if serial is None:
        return []
    mass = case.mass
    inside = {
        mass.ways.tree.component(occurrence.node)
        for occurrence, side in zip(mass.ways.found, mass.sides, strict=True)
        if side.part > 0
    }
    pieces = [case.collection.components[code] for code in sorted(inside)]
    others = [(case.group.name, case.group.fits), *((piece.name, piece.fits) for piece in pieces)]
    root = case.collection.components[case.group.root]
    found = serial_ranges(root, serial, others)
    if not found:
        return []
    names = list(found)
    more = (f"{len(names) - _NAMED} more",) if len(names) > _NAMED else ()
    ranges = f"{names[0]}: {found[names[0]]}"
    return [
        Notice("serial outside", {"serial": str(serial), "names": (*names[:_NAMED], *more), "ranges": ranges})
    ]


def _with_blocked(legs: LegsFigure, points: Sequence[PointFigure]) -> LegsFigure:
    """The leg table with what covers each point: yes, no with who says so, or nobody looked."""
    brief = {point.id: point.blocked_brief for point in points}
    return replace(
        legs,
        legs=tuple(replace(leg, blocked=brief.get(leg.point, "nobody looked")) for leg in legs.legs),
    )


def _look_again_below(case: Case) -> float | None:
    """Below it something else still carries, or a piece stayed behind; None without a cell error. [kg]"""
    expected = case.expected
    if expected.cell is None:
        return None
    return max(0.0, expected.load.low - expected.cell.at(expected.load.low))


def _unknown(case: Case) -> list[Notice]:
    """Why there is no upper figure to look again at, no centre, no legs, no stop figure."""
    said = [] if case.expected.cell is not None else [Notice("cell error not known")]
    nobody = case.group.picks is None and case.question.picks is None  # said as such, once
    no_legs = "" if nobody or case.cannot_meet else case.no_legs
    whys = dict.fromkeys((case.no_centre, no_legs, case.no_stop))
    return [*said, *(Notice("not known", {"why": why}) for why in whys if why)]


def _nobody(case: Case, points: Sequence[PointFigure]) -> list[str]:
    """What of the lift group itself nobody looked at, besides ties and what a range was given for."""
    group, given = case.group, case.mass.assumed
    found = [
        f"what the load is carried through at {point.name} ({point.id})"
        for point in points
        if point.used and not point.through_looked
    ]
    asked = (
        (group.picks, "which pick points are used"),
        (group.gear or case.rigging.given, "what gear is on the hook"),
        (group.trapped or (FLUID in given or None), "how much fluid is still inside"),
        (group.packing or (PACKING in given or None), "whether any packing goes along"),
        (group.attitude, "which way up it hangs"),
    )
    return found + [words for value, words in asked if value is None]


def _ranges(case: Case) -> list[Notice]:
    """Masses that were given as a range for this question, or that rest on more than one figure of theirs."""
    mass = case.mass
    amounts = {e.kind: e.amount for e in mass.extras if e.kind in mass.assumed} | {GEAR: case.rigging.given}
    given = {c.id: c for c in mass.carried if c.assumed and c.mass is not None}
    return (
        [
            Notice("range given", {"name": kind, "low_kg": one.low, "high_kg": one.high})
            for kind, one in amounts.items()
            if one is not None
        ]
        + [
            Notice(
                "range given",
                {"name": c.name, "low_kg": float(c.mass.low), "high_kg": float(c.mass.high)},
            )
            for c in given.values()
            if c.mass is not None
        ]
        + [
            Notice(
                "range inferred",
                {
                    "name": c.name,
                    "low_kg": float(c.mass.low),
                    "high_kg": float(c.mass.high),
                    "rests_on": c.inferred,
                },
            )
            for c in {c.id: c for c in mass.carried if c.inferred}.values()
            if c.mass is not None
        ]
    )


def disputes(mass: GroupMass) -> list[Notice]:
    """Figures of what is lifted that wait, are only a mean, cannot all be true, and what is missing."""
    found = mass.together
    said = [
        Notice(
            "plan lifted",
            {
                "name": one.name,
                "says": one.words,
                "high_kg": float(one.plan),
                "without_kg": float(one.without),
            },
        )
        for one in mass.lifted
    ]
    said += [
        Notice("scatter not known", {"name": c.name, "weighed": c.of_mean, "here": float(c.pieces)})
        for c in mass.carried
        if c.of_mean and not c.assumed
    ]
    if found is None or not found.disputes:
        return said
    few = few_of(found.disputes)
    said += [
        Notice("more figures disagree", {"figures": figures, "more": left_out})
        if left_out
        else Notice("figures disagree", {"figures": figures})
        for figures, left_out in zip(few.shown, few.left_out, strict=True)
    ]
    if few.more:
        kind = "many disagree about" if few.common else "many disagree"
        said.append(Notice(kind, {"count": few.more, "figures": few.common[:COMMON]}))
    if found.most is None:
        said.append(Notice("no limit while they disagree", {"where": found.where}))
    elif found.most > found.plan:
        gap, most = float(found.most - found.plan), float(found.most)
        said.append(Notice("missing somewhere", {"gap_kg": gap, "where": found.where, "most_kg": most}))
    return said


def _inside(collection: Collection, mass: GroupMass, index: int) -> Piece:
    """A piece that is in, with the figures of everything below it added up."""
    occurrence = mass.ways.found[index]
    below = set(mass.ways.under(index))
    held = [carried for carried in mass.carried if carried.index in below]
    known = [carried.mass for carried in held if carried.mass is not None]
    lists = {component.id for component in mass.open_lists}
    opened = any(mass.ways.tree.component(mass.ways.found[i].node) in lists for i in below)
    load = None
    if known:
        total = add_masses(known)
        complete = total.complete and len(known) == len(held) and not opened
        load = Amount(float(total.low), float(total.best), float(total.high) if complete else None)
    return Piece(
        way=occurrence.way,
        id=mass.ways.tree.component(occurrence.node),
        name=collection.components[mass.ways.tree.component(occurrence.node)].name,
        pieces=float(occurrence.pieces * mass.sides[index].part),
        load=load,
        why=mass.sides[index].why,
        assumed=", ".join(
            f"{c.name}: {c.inferred or 'a range given for this question'}"
            for c in held
            if c.assumed or c.inferred
        ),
        source=held[0].source if len(held) == 1 else ("sum of parts" if held else ""),
    )


def _outside(collection: Collection, mass: GroupMass, index: int) -> Piece:
    """A piece that is not in, or the rest of one that is in part only."""
    occurrence = mass.ways.found[index]
    component = collection.components[mass.ways.tree.component(occurrence.node)]
    behind = None if component.fluid is not None else mass.behind(index)
    return Piece(
        way=occurrence.way,
        id=component.id,
        name=component.name,
        pieces=float(occurrence.pieces * (1 - mass.sides[index].part)),
        load=None if behind is None else Amount.of(behind),
        why=mass.sides[index].why,
        fluid=component.fluid is not None,
    )


def _additions(case: Case) -> tuple[MassLine, ...]:
    extras = [MassLine(extra.kind, extra.name, extra.amount) for extra in case.mass.extras]
    below = [MassLine("gear", name, amount) for name, amount in case.rigging.below.items()]
    above = [
        MassLine("gear above the cell", f"{name}, above the cell: on the hoist, in no reading", amount)
        for name, amount in case.rigging.above.items()
    ]
    return (*extras, *below, *above)


def _centre(case: Case) -> CentreFigure | None:
    if case.patch is None or case.room is None:
        return None
    says: list[Notice] = []
    if any(
        extra.kind == FLUID
        and extra.at is None
        and extra.within is None
        and extra.amount
        and extra.amount.high != 0.0
        and case.mass.outline is not None
        for extra in case.mass.extras
    ):
        says.append(Notice("fluid anywhere inside"))
    says += [at_line(name) for name in case.mass.at_its_line]
    if case.mass.at_datum:
        says.append(at_datum(case.mass.at_datum))
    says += [
        Notice("a range of mass", {"name": carried.name, "by": carried.inferred or "given for this question"})
        for carried in case.mass.carried
        if carried.assumed or carried.inferred
    ]
    return CentreFigure(
        case.patch.at,
        case.patch.low,
        case.patch.high,
        case.room.at,
        case.room.low,
        case.room.high,
        tuple(says),
    )


def _cell_words(case: Case) -> str:
    mover = case.collection.movers.get(case.group.mover or "")
    if mover is None:
        return "no hoist or crane is recorded for this lift"
    if mover.cell_error is None:
        return f"{mover.name}: no load cell error recorded"
    return f"{mover.name}: cell error {mover.cell_error}"


def _frame_words(collection: Collection, group: LiftGroup) -> str:
    datum = collection.components[group.root].datum
    if datum is None:
        return "the frame of the whole is not recorded"
    return f"from {datum.at}; x {datum.x}, y {datum.y}, z {datum.z}"
