"""Lifting gear in lifts and on its tag: what is not listed, too few, hung from nothing, read how."""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.checker.evidence import Evidence
from handling_db.findings import Finding
from handling_db.lifting.line.gear import listed_below, rigging, slings_of
from handling_db.records.kinds.gear import SLINGS
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.stack import HOOK


def gear_at_picks(evidence: Evidence) -> Iterator[Finding]:
    """Gear that the picks of a lift need and its list leaves out, or counts too few of."""
    for code, group in sorted(evidence.collection.lift_groups.items()):
        if group.gear is None:
            continue  # nobody looked: said by the answer, and nothing to compare with
        for gear, needed in _needed(evidence, group).items():
            has = listed_below(group, gear)
            if has >= needed:
                continue
            record = evidence.collection.gear.get(gear)
            name = record.name if record is not None else gear
            yield evidence.at("lift group", code, "gear").disagrees(
                "gear-at-picks",
                f"the picks need {needed} of {name} and 'gear' lists {has or 'none'};",
                "count again and write it under 'gear'; until then what the picks need is counted.",
            )


def _needed(evidence: Evidence, group: LiftGroup) -> dict[str, int]:
    """How many of each item the picks take."""
    legs: dict[str, list[str]] = {}
    needed: dict[str, int] = {}
    for pick in listed(group.picks):
        if pick.sling is not None:
            legs.setdefault(pick.sling, []).append(pick.point)
        for link in pick.links:
            needed[link] = needed.get(link, 0) + 1
    for gear, points in legs.items():
        slings = len(slings_of(evidence.collection.gear.get(gear), points, listed_below(group, gear)))
        needed[gear] = needed.get(gear, 0) + slings
    return needed


def gear_order(evidence: Evidence) -> Iterator[Finding]:
    """Gear that hangs from nothing that is there or from itself, or where nobody wrote what carries what."""
    for code, group in sorted(evidence.collection.lift_groups.items()):
        used = listed(group.gear)
        names = {entry.gear for entry in used} | {HOOK}
        lost = False
        for i, entry in enumerate(used):
            if entry.hangs_from is not None and entry.hangs_from not in names:
                lost = True
                yield evidence.at("lift group", code, "gear", i, "hangs from").fault(
                    "gear-order",
                    f"{entry.gear} hangs from {entry.hangs_from!r}, which is not among the gear of this "
                    f"lift;",
                    f"write the id of gear in the list, or 'hook'; there are: {', '.join(sorted(names))}.",
                )
        if lost:
            continue
        gear = rigging(evidence.collection, group, listed(group.picks))
        at = evidence.at("lift group", code, "gear")
        if gear.contradiction:
            yield at.fault(
                "gear-order", f"{gear.contradiction.rstrip('.')};", "correct 'hangs from' and 'above cell'."
            )
            continue
        open_ended = sorted(
            {piece.name for piece in gear.pieces if not piece.link and gear.stack.below(piece.key).perhaps}
        )
        if open_ended:
            yield at.remark(
                "gear-order",
                f"not recorded what hangs below what: {', '.join(open_ended)}; "
                "each is taken as carrying the others;",
                "write 'hangs from' under 'gear', from the hook down.",
            )


def gear_angles(evidence: Evidence) -> Iterator[Finding]:
    """A sling's tag with angles and nobody wrote from where they count."""
    for code, gear in sorted(evidence.collection.gear.items()):
        rows = [row for row in listed(gear.tag) if row.up_to is not None]
        if not rows or gear.kind not in SLINGS or gear.angles_from is not None:
            continue
        yield evidence.at("gear", code, "tag").remark(
            "gear-angles",
            f"from where the angles on the tag of {gear.name} count nobody wrote: read as from the vertical;",
            "write 'angles from': vertical, horizontal, or included (between two legs).",
        )


def plate_and_chart(evidence: Evidence) -> Iterator[Finding]:
    """A crane whose chart somewhere prints more than its plate: the plate governs there."""
    for code, mover in sorted(evidence.collection.movers.items()):
        if mover.rated is None or not mover.chart:
            continue
        most = max(mover.chart, key=lambda row: row.capacity.base)
        if most.capacity.base > mover.rated.base:
            yield evidence.at("mover", code, "rated").remark(
                "plate-and-chart",
                f"{mover.name}: its chart prints up to {most.capacity}, its plate {mover.rated}; the "
                f"lower governs;",
                "look whether both are for the same hook and fall of rope.",
            )
