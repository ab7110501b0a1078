"""Everything a lift has to say, gathered as notices out of its figures: what stands first, and every gap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from handling_db.lifting.figures import LiftAnswer, PointFigure, RatingFigure
from handling_db.lifting.said.notices import Rank, ordered, rank_of
from handling_db.lifting.set_down import standing_notices
from handling_db.lifting.ties import energy_notices, job_notices, tie_notices
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.kinds.job import Job

ENGAGED = 1.5  # diameters
ENGAGED_SOURCE = "DOE-STD-1090-96 12.4, for eye bolts"


@dataclass(frozen=True, slots=True)
class LiftGaps:
    """What is open about one lift beside its figures.

    Parameters
    ----------
    joints_unknown : sequence of str
        Joints that the lift group lists and nobody recorded.
    nobody : sequence of str
        What of the lift group itself nobody looked at.
    ranges : sequence of Notice
        Masses that were given as a range for this question.
    other_missing : sequence of str
        Parts of the other half without a mass.
    overdue : sequence of (gear, why)
        Gear whose rating is not used.
    unknown : sequence of Notice
        Reasons why there is no centre, no leg figure, no stop figure.
    """

    joints_unknown: Sequence[str]
    nobody: Sequence[str]
    ranges: Sequence[Notice]
    other_missing: Sequence[str]
    overdue: Sequence[tuple[str, Notice]]
    unknown: Sequence[Notice]


def gathered(
    answer: LiftAnswer,
    gaps: LiftGaps,
    *,
    job: Job | None,
    joints_listed: Sequence[str],
    more: Iterable[Notice] = (),
) -> tuple[Notice, ...]:
    """Every notice of one lift, in the one order.

    Parameters
    ----------
    answer : LiftAnswer
        All its figures.
    gaps : LiftGaps
        What is open beside them.
    job : Job, optional
        The unit in hand.
    joints_listed : sequence of str
        What the lift group lists under 'parts joints'.
    more : iterable of Notice
        From elsewhere: they take their place in the order.
    """
    said = [
        *more,
        *_holding(answer),
        *job_notices(answer.jobs),
        *tie_notices(answer.joints),
        *_joints(answer, joints_listed, gaps.joints_unknown, job),
        *energy_notices(answer.notes),
        *_ratings(answer.ratings),
        *_points(answer.points),
        *_hoist(answer),
        *_edges(answer),
        *_landing(answer),
        *(Notice("rating over date", {"name": name, "why": why}) for name, why in gaps.overdue),
        *_figure(answer),
        *_gaps(answer, gaps),
        *_breaking(answer),
    ]
    if not any(rank_of(one) is Rank.NOT_KNOWN for one in said):
        said.append(Notice("no gap recorded"))
    return ordered(said)


def _holding(answer: LiftAnswer) -> list[Notice]:
    """Legs that go slack, a pose far from the one asked for, a face it does not stand on."""
    said = []
    legs = answer.legs
    if legs is not None:
        rest = legs.rest
        slack = tuple(dict.fromkeys((*legs.slack, *(rest.slack if rest and not legs.balanced else ()))))
        if slack:
            said.append(Notice("goes slack", {"legs": slack}))
        elif not legs.balanced:
            said.append(Notice("cannot hold"))
        if legs.may_go_slack and not legs.slack:
            said.append(Notice("may go slack", {"legs": legs.may_go_slack}))
    return said + standing_notices(answer.set_down)


def _joints(
    answer: LiftAnswer, listed: Sequence[str], unknown: Sequence[str], job: Job | None
) -> list[Notice]:
    said = [Notice("joint not recorded", {"joint": name}) for name in unknown]
    said += [
        Notice("joint not listed", {"joint": joint.id}) for joint in answer.joints if joint.id not in listed
    ]
    if job is not None and job.closed is not None:
        said.append(Notice("job closed", {"job": job.id, "on": job.closed.on.isoformat()}))
    if job is None and answer.joints:
        said.append(Notice("no job"))
    return said


def _ratings(ratings: Sequence[RatingFigure]) -> list[Notice]:
    """What is asked more than it is rated for, and what is not compared with what it gets."""
    said = []
    bare = []
    for one in ratings:
        if one.kind == "hoist" and (one.over or one.rating_kg is None):
            continue  # said in words of its own
        if one.over is None and one.not_compared and one.part > 0.0:
            bare.append(one.name)
        elif one.over:
            facts: Facts = {
                "name": one.name,
                "demand_kg": one.demand_kg,
                "rating_kg": one.rating_kg,
                "basis": one.basis,
            }
            said.append(Notice("over its rating", facts))
    if bare:
        names = tuple(dict.fromkeys(bare))
        said.append(Notice("not compared", {"count": len(names), "names": names}))
    return said


def _points(points: Sequence[PointFigure]) -> list[Notice]:
    said = []
    for point in points:
        if not point.used:
            continue
        if point.blocked:
            said.append(Notice("point blocked", {"point": point.name, "why": point.blocked_words}))
        if point.size_m is not None and point.engagement_m is not None:
            times = point.engagement_m / point.size_m
            if times < ENGAGED:
                facts: Facts = {
                    "point": point.name,
                    "thread": point.thread,
                    "engaged_m": point.engagement_m,
                    "size_m": point.size_m,
                    "times": f"{times:.1f}",
                }
                said.append(Notice("thread too short", facts, ENGAGED_SOURCE))
    used = [point for point in points if point.used]
    unseen = tuple(point.name for point in used if point.blocked_brief == "nobody looked")
    if unseen:
        said.append(Notice("nobody looked what blocks", {"points": unseen}))
    bare = tuple(p.name for p in used if (p.thread or p.size_m) and p.engagement_m is None)
    if bare:
        said.append(Notice("thread nobody looked", {"points": bare}, ENGAGED_SOURCE))
    return said


def _hoist(answer: LiftAnswer) -> list[Notice]:
    said = []
    mover = answer.mover
    if mover is not None and mover.over_rating and mover.gross is not None:
        heavy = mover.gross.best if mover.gross.high is None else mover.gross.high
        heavy *= mover.dynamic_factor or 1.0
        over: Facts = {"name": mover.name, "gross_kg": heavy, "rating": mover.rating_words}
        if mover.dynamic_factor is None:
            said.append(Notice("over the hoist", over))
        else:
            said.append(
                Notice("over the hoist by a factor", {**over, "factor": f"{mover.dynamic_factor:.3f}"})
            )
    elif mover is not None and mover.over_planning and mover.planning_part is not None:
        facts: Facts = {"name": mover.name, "planning_share": mover.planning_part}
        said.append(Notice("over the planning share", facts))
    if mover is not None and mover.rating_kg is None:
        said.append(Notice("hoist not rated", {"name": mover.name, "why": mover.rating_words}))
    expected = answer.reading.expected
    if expected is not None:
        load = expected.best if expected.high is None else expected.high
        said += [
            Notice("load reaches a limit", {"load_kg": load, "limit_kg": max(0.0, s.at_kg), "why": s.reason})
            for s in answer.reading.stops
            if s.at_kg <= load
        ]
    if answer.headroom.left_m is not None:
        said += answer.headroom.says
    return said


def _edges(answer: LiftAnswer) -> list[Notice]:
    """Only where gear hangs on it at all: a lift without picks has nothing to run over an edge yet."""
    said = [edge for edge in answer.edges if edge.kind != "edge protected"]
    if not answer.edges and answer.edges_words == "nobody looked" and any(p.used for p in answer.points):
        said.append(Notice("edges nobody looked"))
    return said


def _landing(answer: LiftAnswer) -> list[Notice]:
    place, down = answer.landing, answer.set_down
    said = []
    if place.rating_kg is None:
        if place.place != "nobody looked":
            bare: Facts = {"place": place.place, "why": place.rating_words}
            said.append(Notice("landing place not rated", bare))
    elif place.load_kg is None or place.load_kg > place.rating_kg:
        facts: Facts = {
            "place": place.place,
            "load_kg": place.load_kg,
            "rating_kg": place.rating_kg,
            "by": place.rating_words,
        }
        said.append(
            Notice("landing place over" if place.load_kg is not None else "landing not compared", facts)
        )
    if down.weakest is not None:
        edge = down.weakest
        said.append(Notice("stands", {"face": down.face, "tips_deg": edge.tips_at, "towards": edge.towards}))
        rest = answer.legs.rest if answer.legs else None
        if rest is not None and rest.low_words and rest.tilt >= 0.5:
            said.append(Notice("lands low side first", {"tilt_deg": rest.tilt, "side": rest.low_words}))
    elif down.not_known:
        said.append(Notice("standing not known", {"why": down.not_known}))
    return said


def _figure(answer: LiftAnswer) -> list[Notice]:
    reading = answer.reading
    said = []
    if reading.expected is not None:
        facts: Facts = {
            "low_kg": reading.expected.low,
            "best_kg": reading.expected.best,
            "high_kg": reading.expected.high,
            "state": _state(answer),
            "rests": _rests(answer),
        }
        said.append(Notice("expected", facts))
        gear = reading.gear_below
        less = None if gear is None or gear.high is None else gear.best
        kind = "zeroed with gear" if reading.zeroed == "yes" else "zeroing nobody said"
        if less is None and reading.zeroed != "no":
            said.append(Notice(f"{kind}, gear not weighed", {}))
        elif reading.zeroed == "yes" or (not reading.zeroed and less != 0.0):
            said.append(Notice(kind, {"gear_kg": less}))
    if reading.look_again_kg is not None and reading.look_again_below_kg is not None:
        band = {"above_kg": reading.look_again_kg, "below_kg": reading.look_again_below_kg}
        said.append(Notice("look again", band))
    elif reading.look_again_below_kg is not None:
        said.append(Notice("look again below", {"below_kg": reading.look_again_below_kg}))
    if reading.stops:
        said.append(Notice("stop", {"at_kg": max(0.0, reading.stops[0].at_kg)}))
    return said


def _state(answer: LiftAnswer) -> str:
    """What fluid is in it: stated, none, or nobody looked."""
    fluids = [a for a in answer.additions if a.kind == "fluid"]
    if not fluids:
        return "fluid: nobody looked"
    if all(a.load is not None and a.load.high == 0.0 for a in fluids):
        return "drained, no fluid inside"
    return "with " + ", ".join(a.name for a in fluids)


def _rests(answer: LiftAnswer) -> str:
    """On what the figure rests: how many figures of which kinds, and what was taken as default."""
    kinds: dict[str, int] = {}
    for source in answer.kinds_of_source:
        kinds[source] = kinds.get(source, 0) + 1
    told = [f"{count} {kind}" for kind, count in sorted(kinds.items(), key=lambda item: -item[1])]
    defaults = [name for name, _, certain in answer.build if not certain]
    if defaults:
        told.append(f"default {', '.join(defaults)}, not confirmed for this unit")
    return "; ".join(told) or "nothing recorded"


def _gaps(answer: LiftAnswer, gaps: LiftGaps) -> list[Notice]:
    said = []
    if answer.missing:
        said.append(Notice("no mass", {"names": answer.missing}))
    said += gaps.ranges
    if gaps.other_missing:
        facts: Facts = {"name": answer.other_half_name, "names": tuple(gaps.other_missing)}
        said.append(Notice("other half at least", facts))
    said += [Notice("nobody looked", {"what": text}) for text in gaps.nobody]
    said += gaps.unknown
    if answer.reading.stops:
        open_limits = answer.reading.not_known
        if open_limits:
            said.append(Notice("not known for the stop", {"count": len(open_limits), "what": open_limits}))
    if answer.headroom.left_m is None:
        said += [Notice("not known", {"why": why}) for why in answer.headroom.says]
    return said


def _breaking(answer: LiftAnswer) -> list[Notice]:
    """The moment the last tie lets go: only where a joint is parted."""
    breaking = answer.breaking
    if not answer.joints:
        return []
    said = []
    if breaking.off_m is not None and breaking.off_high_m is not None:
        ways = tuple(
            f"{way * 1000:.0f} mm at the face of {name}"
            for name, way in breaking.joint_way_m
            if way >= OFF_PLUMB
        )
        facts: Facts = {
            "off_m": breaking.off_m,
            "off_high_m": breaking.off_high_m,
            "towards": breaking.towards,
            "tilt_deg": breaking.tilt or 0.0,
            "joint": f", {' and '.join(ways)}" if ways else "",
        }
        said.append(Notice("hook off plumb" if breaking.off_m >= OFF_PLUMB else "hook plumb", facts))
    elif breaking.no_figures:
        said.append(Notice("swing not known", {"why": breaking.no_figures}))
    if breaking.hold_low_kg is not None and breaking.hold_high_kg is not None:
        band = {"low_kg": breaking.hold_low_kg, "high_kg": breaking.hold_high_kg}
        said.append(Notice("hold before the last tie", band))
    else:
        said.append(Notice("nothing to hold before the last tie"))
    return said


OFF_PLUMB = 0.001  # m; less is what a plumb line shows as none
