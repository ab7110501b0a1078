"""What comes first on a sheet: the first line, the warnings after it, and every gap."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.lifting.figures import (
    HeadroomFigure,
    JointFigure,
    LegsFigure,
    MoverFigure,
    PointFigure,
    RatingFigure,
    SetDownFigure,
)
from handling_db.lifting.notices import KINDS, Rank, rank_of
from handling_db.quantities.sentence import said as said_of
from handling_db.records.kinds.job import Job
from handling_db.rigging.hook import Expected, Stop


def first_line(
    joints: Sequence[JointFigure], missing: Sequence[str], nobody: Sequence[str], ranges: Sequence[str] = ()
) -> str:
    """The sheet's first line: temporary ties still in, masses nobody knows, what nobody looked at."""
    temporary = [tie for joint in joints for tie in joint.ties if tie.temporary and tie.open]
    lines = []
    if temporary:
        named = "; ".join(f"{tie.count} x {tie.what} (out {tie.out_by})" for tie in temporary)
        lines.append(f"Still in for the time being: {named}.")
    if missing:
        lines.append(f"No mass for {', '.join(missing)}: every figure is 'at least', or refused.")
    if ranges:
        lines.append(f"A range was given for this question, nobody weighed it: {', '.join(ranges)}.")
    if nobody:
        lines.append(f"Nobody looked: {'; '.join(nobody)}.")
    return " ".join(lines) or "Nothing here is recorded as unknown; that does not show that nothing is."


def warnings(
    *,
    joints: Sequence[JointFigure],
    unlisted: Sequence[str],
    unknown_joints: Sequence[str],
    points: Sequence[PointFigure],
    legs: LegsFigure | None,
    ratings: Sequence[RatingFigure],
    stop: Stop | None,
    mover: MoverFigure | None,
    down: SetDownFigure,
    headroom: HeadroomFigure,
    old: Sequence[str],
    job: Job | None,
) -> tuple[str, ...]:
    """What a person has to read before the figures, the gravest first."""
    said: list[str] = []
    said += [
        f"{point.name} ({point.id}) is used and {point.blocked_words}." for point in points if point.blocked
    ]
    if legs is not None:
        said += [
            said_of(KINDS[notice.kind].long, notice.facts)
            for notice in legs.notices
            if rank_of(notice) is Rank.GEAR
        ]
        said += [text for text in legs.says if "slack" in text or "cannot hold" in text or "rest" in text]
        if legs.may_go_slack and not legs.slack:
            said.append(
                f"within the doubt of the centre these legs may go slack: {', '.join(legs.may_go_slack)}."
            )
    said += [text for rating in ratings for text in rating.says if "more than" in text]
    if mover is not None and mover.over_rating:
        said.append(f"everything on the hook is more than the rating of {mover.name} ({mover.rating_words}).")
    elif mover is not None and mover.over_planning and mover.planning_part is not None:
        said.append(
            f"everything on the hook is more than {mover.planning_part:.0%} of the rating of {mover.name}: "
            "the shop plans such a lift in writing."
        )
    if mover is not None and mover.rating_kg is None:
        said.append(f"{mover.name}: {mover.rating_words}.")
    if stop is not None:
        said += [text for text in stop.says if text.startswith("the load alone")]
    said += [f"{text}." for text in old]
    said += [
        f"joint {name} is crossed by this lift and not listed under 'parts joints'." for name in unlisted
    ]
    said += [f"joint {name} is not recorded: what holds there nobody knows." for name in unknown_joints]
    said += [f"{text}." for joint in joints for text in joint.says]
    if job is not None:
        still = [tie.what for joint in joints for tie in joint.ties if tie.open and tie.state == "still in"]
        if still:
            said.append(f"not ticked off in job {job.id}: {'; '.join(still)}.")
        if job.closed is not None:
            said.append(f"job {job.id} was closed on {job.closed.on.isoformat()}.")
    elif joints:
        said.append("no job is given: nothing counts as out, tick the ties by hand.")
    unrated = [f"{point.name} ({point.id})" for point in points if not point.rated]
    if unrated:
        said.append(f"no rating is recorded for {', '.join(unrated)}.")
    if down.may_rest.startswith("must not"):
        said.append(f"it must not rest on {down.face}.")
    if headroom.left_m is not None:
        said += list(headroom.says)
    return tuple(dict.fromkeys(said))


def not_known(
    expected: Expected,
    stop: Stop | None,
    no_stop: str,
    no_centre: str,
    no_legs: str,
    nobody: Sequence[str],
    headroom: HeadroomFigure,
) -> tuple[str, ...]:
    """Every gap, one a line."""
    said = [f"nobody looked: {text}." for text in nobody]
    said += list(expected.says)
    said += [text for text in (no_centre, no_legs, no_stop) if text]
    if stop is not None:
        said += [f"for the stop figure: {text}." for text in stop.not_known]
    if headroom.left_m is None:
        said += list(headroom.says)
    return tuple(dict.fromkeys(said))
