"""What still holds a lift group: the ties of every joint it crosses, from every document, and of the job."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence

from handling_db.lifting.figures import CAUTIONS, JointAnswer, JointFigure, NoteFigure, TieFigure
from handling_db.lifting.occurrences import Side, Ways
from handling_db.lifting.said.notes import touching_joint
from handling_db.lifting.said.notices import ordered
from handling_db.quantities.display import counted, without_count
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import job_of_serial, open_jobs
from handling_db.records.kinds.job import Job, TemporaryTie
from handling_db.records.kinds.joint import Joint, PartingAid, Tie
from handling_db.records.open_job import OpenJob
from handling_db.records.parts.measures import Measure
from handling_db.records.parts.three_valued import listed

NOBODY = "nobody looked"


def crossed(collection: Collection, ways: Ways, sides: Sequence[Side]) -> tuple[str, ...]:
    """Ids of joints with one side in the group and the other not, by id."""
    found = []
    for joint_id, joint in sorted(collection.joints.items()):
        for start in ways.of_component(joint.within):
            below: dict[str, list[int]] = {}
            for index in ways.under(start):
                below.setdefault(ways.tree.component(ways.found[index].node), []).append(index)
            first, second = (
                [sides[i].part > 0 for i in _deep(ways, below.get(side, ()))] for side in joint.between
            )
            if first and second and any(first) != any(second):
                found.append(joint_id)
                break
    return tuple(found)


def _deep(ways: Ways, tops: Iterable[int]) -> list[int]:
    return [index for top in tops for index in ways.under(top)]


def joint_figures(
    collection: Collection, joints: Iterable[str], job: Job | None = None
) -> tuple[JointFigure, ...]:
    """Every tie of some joints with its state in this job, temporary ties first.

    Parameters
    ----------
    collection : Collection
    joints : joint ids
        Unknown ones are passed over: the caller says so.
    job : Job, optional
        Without one nothing counts as out.
    """
    return tuple(
        joint_figure(collection, collection.joints[name], job) for name in joints if name in collection.joints
    )


def joint_figure(collection: Collection, joint: Joint, job: Job | None = None) -> JointFigure:
    """One joint: what holds it, what nobody looked for, and what helps to part it."""
    ties = [_temporary(joint, tie) for tie in (job.temporary_ties if job else ()) if tie.joint == joint.id]
    ties += [_tie(collection, joint, tie, job) for tie in joint.tie_list]
    says = []
    if joint.ties is None:
        says.append(Notice("nobody looked what holds", {"joint": joint.name}))
    elif joint.ties == "none":
        says.append(Notice("nothing holds", {"joint": joint.name, "by": joint.checked_by}))
    elif joint.ties_listed != "all":
        says.append(Notice("not all ties listed", {"joint": joint.name}))
    says.extend(_order(ties))
    return JointFigure(
        id=joint.id,
        name=joint.name,
        between=joint.between,
        ties=tuple(ties),
        all_listed=_all_listed(joint),
        parting_aids=tuple(_aid_words(aid) for aid in listed(joint.parting_aids)),
        parting_words=looked(joint.parting_aids, joint.checked_by),
        says=tuple(says),
        remark=joint.remark or "",
    )


def _all_listed(joint: Joint) -> str:
    if joint.ties is None:
        return NOBODY
    if joint.ties_listed == "all":
        return f"all, says {joint.checked_by}"
    return "some" if joint.ties_listed == "some" else f"{NOBODY} whether all are listed"


def looked(value: object, checked_by: str | None) -> str:
    """That nobody looked, or that there is none and who says so; empty where something is listed."""
    if value is None:
        return NOBODY
    return f"none, checked by {checked_by}" if value == "none" else ""


def _aid_words(aid: PartingAid) -> str:
    count = f"{aid.count} x " if aid.count is not None else ""
    where = f", {aid.where}" if aid.where else ""
    thread = f", {aid.thread}" if aid.thread else ""
    return f"{count}{aid.what}{thread}{where}"


def _temporary(joint: Joint, tie: TemporaryTie) -> TieFigure:
    out = tie.out
    state = "temporary, still in" if out is None else f"temporary, out: {out.by}, {out.on.isoformat()}"
    return TieFigure(
        joint=joint.id,
        id=tie.id,
        what=without_count(str(tie.count), tie.what),
        kind="temporary tie",
        count=str(tie.count),
        state=state,
        open=out is None,
        nobody_looked=False,
        temporary=True,
        out=out is not None,
        size=f"grade: {tie.grade or NOBODY}",
        side=tie.hole or "",
        hidden="no",
        out_by=tie.out_by,
        by=tie.by,
        on=tie.on.isoformat(),
    )


def _tie(collection: Collection, joint: Joint, tie: Tie, job: Job | None) -> TieFigure:
    key = tie.key(joint.id)
    out = None
    if job is not None:
        out = next((o for o in reversed(job.ties_out) if (o.joint, o.tie) == (joint.id, key)), None)
    if tie.there == "none":
        state, is_open = f"none, checked by {tie.checked_by}", False
    elif out is not None and not _short(tie, out.count):
        state, is_open = f"out: {out.by}, {out.on.isoformat()}", False
    elif out is not None:
        state, is_open = f"{out.count} of {tie.count} out: {out.by}, {out.on.isoformat()}", True
    elif tie.there is None:
        state, is_open = NOBODY, True
    else:
        state, is_open = ("still in" if job is not None else "to come out"), True
    return TieFigure(
        joint=joint.id,
        id=key,
        what=without_count(str(tie.count or ""), tie.what),
        kind=tie.kind,
        count=str(tie.count) if tie.count is not None else ("" if tie.there == "none" else "nobody counted"),
        state=state,
        open=is_open,
        nobody_looked=tie.there is None and out is None,
        out=out is not None and not is_open,
        size=tie.size or "",
        head=tie.head or "",
        tool=tie.tool or "",
        side=tie.side or "",
        hidden=tie.hidden or NOBODY,
        under=tie.under or "",
        listed_in=tuple(_document(collection, entry.source, entry.where) for entry in tie.listed_in),
        after=tie.after,
        travel_m=float(tie.travel.base) if tie.travel is not None else None,
        carries_in_turn=tie.carries_in_turn or NOBODY,
        sticks=tie.sticks or "",
        holds_up_to_kg=float(tie.holds_up_to.base) if tie.holds_up_to is not None else None,
        by=out.by if out else "",
        on=out.on.isoformat() if out else "",
        remark=tie.remark or "",
    )


def _short(tie: Tie, count: Measure | None) -> bool:
    """Whether fewer came out than there are."""
    if count is None or count.number is None or tie.count is None:
        return False
    return tie.count.number is not None and count.number < tie.count.number


def _document(collection: Collection, source: str, where: str | None) -> str:
    record = collection.sources.get(source)
    name = record.name if record else source
    return f"{name}: {where}" if where else name


def _order(ties: Sequence[TieFigure]) -> list[Notice]:
    """What is out although something that comes first is still in."""
    by_id = {tie.id: tie for tie in ties}
    return [
        Notice("tie out before its turn", {"tie": tie.what, "first": by_id[first].what})
        for tie in ties
        if tie.out
        for first in tie.after
        if first in by_id and by_id[first].open
    ]


def tie_notices(figures: Sequence[JointFigure]) -> list[Notice]:
    """What the ties of some joints have to say: what nobody looked for first, then what is not out."""
    open_ties = [tie for joint in figures for tie in joint.ties if tie.open and not tie.temporary]
    nobody = tuple(tie.what for tie in open_ties if tie.nobody_looked)
    still = tuple(f"{_many(tie)}{tie.what}" for tie in open_ties if not tie.nobody_looked)
    said = [notice for joint in figures for notice in joint.says]
    if still:
        said.append(Notice("ties open", {"count": counted(len(still), "tie"), "ties": still}))
    if nobody:
        said.append(Notice("ties nobody looked for", {"ties": nobody}))
    return said


def _many(tie: TieFigure) -> str:
    return f"{tie.count} x " if tie.count[:1].isdigit() else ""


def job_notices(jobs: Sequence[OpenJob]) -> list[Notice]:
    """The temporary ties that are in, by job; whether they count here, and what to do where nobody said."""
    said = []
    for job in jobs:
        facts: Facts = {
            "job": job.id,
            "serial": job.serial or "not known",
            "ties": job.ties,
            "brief": job.brief,
        }
        said.append(Notice("temporary ties in" if job.applied else "temporary ties in, not applied", facts))
    return said


def joint_answer(
    collection: Collection,
    joint: Joint,
    *,
    job: Job | None,
    serial: int | None = None,
    as_of: datetime.date | None = None,
) -> JointAnswer:
    """What still holds one joint, with every unit in hand that has temporary ties in.

    Parameters
    ----------
    collection : Collection
    joint : Joint
    job : Job, optional
        The unit in hand; without one the job of `serial`, where it is the only one open.
    serial : int, optional
        Of the unit at hand.
    as_of : date, optional
        Past which notes are due for a look.
    """
    job = job or job_of_serial(collection, joint.within, serial)
    serial = job.serial if job is not None else serial
    figure = joint_figure(collection, joint, job)
    jobs = open_jobs(collection, joint.within, serial, job.id if job else "")
    notes = touching_joint(collection, joint, serial=serial, as_of=as_of)
    said = [*job_notices(jobs), *tie_notices([figure]), *energy_notices(notes)]
    said += [Notice("no job")] if job is None else []
    return JointAnswer(ordered(said), figure, jobs, notes, CAUTIONS)


def energy_notices(notes: Sequence[NoteFigure]) -> list[Notice]:
    """Stored energy by the notes that tell of it."""
    told = [note for note in notes if note.kind == "stored energy"]
    if not told:
        return []
    each = [
        Notice("stored energy", {"about": note.about, "status": note.status, "text": note.text})
        for note in told
    ]
    return [Notice("stored energy in", {"names": tuple(dict.fromkeys(n.about for n in told))}), *each]
