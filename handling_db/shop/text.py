"""What a shop has, fixtures and hands, as lines of text."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.carrying.hands import HandLine
from handling_db.moving.words import (
    beside_words,
    joined,
    load_words,
    notice_words,
    told,
    truck_lines,
)
from handling_db.records.open_job import OpenJob, job_words
from handling_db.shop.figures import (
    FixtureAnswer,
    FixtureLine,
    HandsAnswer,
    IndexAnswer,
    JobFigure,
    ShopAnswer,
)


def _jobs(jobs: Sequence[OpenJob]) -> list[str]:
    """Units in hand with temporary ties in, a line each."""
    return [f"  {job_words(job)}" for job in jobs]


def shop_text(a: ShopAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    lines = [
        f"{a.name}: {a.what_name}",
        *_jobs(a.jobs),
        f"  {notice_words(a.first, first=first)}",
        "",
        "What is asked of the hook",
    ]
    for demand in a.demands:
        lines += [
            f"  {demand.name}: {load_words(demand.load, first=first)}",
            f"    {notice_words(demand.words, first=first)}",
        ]
    lines += ["", "Hooks"]
    for mover in a.movers:
        lines.append(
            f"  {mover.name}, {mover.kind}: rated {mover.rating}; {notice_words(mover.planning, first=first)}"
        )
        lines += [f"    {one.what}: {beside_words(one, first=first)}" for one in mover.beside]
        if mover.not_recorded:
            lines.append(f"    not recorded: {', '.join(mover.not_recorded)}")
        past = " (PAST)" if mover.past else ""
        lines.append(f"    inspection due: {mover.inspection}{past}")
    if not a.movers:
        lines.append("  none recorded: nobody wrote any, or there is none")
    lines += ["", "Trucks"]
    for truck in a.trucks:
        lines.append(f"  {truck.name}{f', with {truck.attachment}' if truck.attachment else ''}")
        lines += [f"    {text}" for text in truck_lines(truck, first=first)]
    lines += ["", "Gear the lift uses"]
    for gear in a.gear:
        lines += [f"  {gear.wanted}: {gear.words}", *(f"    {text}" for text in gear.here)]
    lines += ["", "Fixtures needed"]
    for fixture in a.fixtures:
        lines += fixture_lines(fixture, first)
    since = f" (beside {a.other})" if a.other else ""
    lines += ["", f"Not recorded here{since}", *(f"  {notice_words(lack, first=first)}" for lack in a.lacks)]
    lines += ["", "Not known", *(f"  {text}" for text in told(a.not_known, first))]
    lines += ["", "Rules of the shop", *(f"  {text}" for text in a.rules), f"  To call: {a.who_to_call}"]
    return joined((*lines, "", *told(a.cautions, first)), first)


def fixtures_text(a: FixtureAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    head = a.name if a.load is None else f"{a.name}: {load_words(a.load, first=first)}"
    lines = [head, *_jobs(a.jobs), *(f"  {text}" for text in told(a.says, first))]
    for title, listed in (("Needed", a.needed), ("Others recorded for it", a.others)):
        if listed:
            lines += ["", title]
        for line in listed:
            lines += fixture_lines(line, first)
    return joined((*lines, "", *told(a.cautions, first)), first)


def fixture_lines(line: FixtureLine, first: str) -> list[str]:
    """One fixture, indented."""
    lines = [f"  {line.name} ({line.id}), {line.kind}: {line.standing}; rated load {line.rated}"]
    lines += [f"    {line.fits}"] if line.fits else []
    lines += [f"    for {name}: {act}" for name, act in line.needed]
    if line.beside is not None:
        whose = notice_words(line.beside.note, first=first) if line.beside.note else ""
        lines.append(f"    {whose}: {beside_words(line.beside, first=first)}")
    lines.append(f"    had by: {', '.join(line.has) or 'no shop is recorded to have one'}")
    past = " (PAST)" if line.past else ""
    lines.append(
        f"    faces: {line.faces}; overhang: {line.overhang}; inspection due: {line.inspection}{past}"
    )
    lines.append(f"    floor: {notice_words(line.floor, first=first)}")
    if line.papers_missing:
        lines.append(f"    shop-made, lacks: {', '.join(line.papers_missing)}")
    for used in line.instead:
        lines.append(f"    used instead at {used.shop}: {used.what}; {used.status}")
        lines += [f"      {used.outcome}"] if used.outcome else []
    lines += [f"    {line.remark}"] if line.remark else []
    return lines


def hands_text(a: HandsAnswer, first: str = "kg") -> str:
    """The answer as lines of text."""
    where = f" at {a.shop_name}" if a.shop_name else ""
    lines = [
        f"{a.name}: limit for one person{where}: {a.limit}",
        *_jobs(a.jobs),
        f"  {notice_words(a.rule, first=first)}",
    ]
    for title, listed in (
        ("Above the limit", a.above),
        ("May be above the limit", a.may_be_above),
        ("NOT KNOWN, so perhaps above the limit", a.not_known),
    ):
        lines += ["", f"{title}: {len(listed)}"]
        for line in listed:
            lines.append(f"  {hand_words(line, first=first)}")
            lines += [f"    {note}" for note in line.notes]
    lines += ["", f"Below the limit: {len(a.below)}"]
    lines += ["", "Rules of the shop", *(f"  {rule}" for rule in a.rules)] if a.rules else []
    return joined((*lines, "", *told(a.cautions, first)), first)


def hand_words(line: HandLine, *, first: str = "kg") -> str:
    """One piece with its mass in both units."""
    many = "" if line.pieces == "1" else f" each, {line.pieces} of them"
    return f"{line.name}: {load_words(line.load, first=first)}{many}"


def _job_lines(job: JobFigure | None) -> list[str]:
    """The composite index of several pieces in one job."""
    if job is None:
        return []
    together = "none" if job.index is None else f"{job.index:.2f}"
    lines = [f"  together in one job: composite index {together}; {notice_words(job.remark)}"]
    return lines + [
        f"    {name}: {'no index' if own is None else f'{own:.2f} by itself'}" for name, own in job.pieces
    ]


def index_text(index: IndexAnswer, _first: str) -> str:
    """The recommended limit and the index, in the unit set they were worked out in."""
    unit = "kg" if index.units == "metric" else "lb"
    load = "not known" if index.load is None else f"{index.load:.1f} {unit}"
    lines = [
        notice_words(index.remark),
        f"  {index.name}: heaviest believable {load}; recommended limit {index.limit:.1f} {unit}",
        "  " + ", ".join(f"{name} {value:.2f}" for name, value in index.multipliers),
        *_job_lines(index.job),
        "",
    ]
    return "\n".join((*lines, *told(index.cautions)))
