"""What is asked of a hook: the piece with its fluid and rigging, and the same by every printed figure."""

from __future__ import annotations

import math

from handling_db.families.build import build_of
from handling_db.lifting.line.gear import joined, rigging
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lookup.weight import statement_figure
from handling_db.moving.question import MoveRecords
from handling_db.quantities.amount import Amount, total
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed
from handling_db.shop.figures import DemandLine
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Totals


def demands_of(
    collection: Collection, here: MoveRecords, group: LiftGroup | None
) -> tuple[list[DemandLine], list[Notice]]:
    """What hangs below the hook: with every doubt, with fluid and rigging at best, and by printed figures."""
    pieces = here.load.mass.pieces
    missing = [*(here.load.mass.missing if pieces is None or pieces.high is None else ())]
    beyond: list[Amount] = []
    more: list[Notice] = []
    for item in here.load.inside:
        if item.kind != "fluid":
            continue
        if item.amount is None:
            missing.append(item.name)
        else:
            beyond.append(item.amount)
            more.append(Notice("as noted", {"told": item.name}))
    on_hook, gear_missing = rigging_of(collection, group)
    missing += gear_missing
    if on_hook is not None:
        beyond.append(on_hook)
        more.append(Notice("rigging", {"rigging_kg": on_hook.best}))
    not_known = [Notice("not weighed", {"name": name}) for name in missing]
    base = pieces or Amount(0.0, 0.0, None)
    sure = not missing and base.high is not None and all(amount.high is not None for amount in beyond)
    low = math.fsum([base.low, *(amount.low for amount in beyond)])
    best = math.fsum([base.best, *(amount.best for amount in beyond)])
    with_it = Notice("piece with", {"more": tuple(more)}) if more else Notice("piece alone")
    high = math.fsum([base.high or 0.0, *(amount.high or 0.0 for amount in beyond)]) if sure else None
    found = [DemandLine("on the hook, every doubt counted", Amount(low, best, high), with_it)]
    if sure:
        settled = math.fsum(amount.best for amount in beyond)
        line = Amount.enclosing(base.low + settled, best, (base.high or 0.0) + settled)
        found.append(DemandLine("on the hook, fluid and rigging at their best figures", line, with_it))
    found += _printed(collection, here.load.mass, group, on_hook)
    return found, not_known


def rigging_of(collection: Collection, group: LiftGroup | None) -> tuple[Amount | None, tuple[str, ...]]:
    """Gear of a lift group on the hook, above the cell too, and the names of what has no mass. [kg]"""
    if group is None:
        return None, ("rigging (a component names none; ask for a lift group)",)
    gear = rigging(collection, group, listed(group.picks))
    hung = joined(gear.below, gear.above)
    missing = tuple(f"rigging: {name}" for name, amount in hung.items() if amount is None)
    if not gear.looked:
        missing = ("rigging (nobody looked)",)
    known = [amount for amount in hung.values() if amount is not None]
    if not known:
        return (Amount.exact(0.0) if group.gear == "none" else None), missing
    return total({str(i): amount for i, amount in enumerate(known)}).amount, missing


def _printed(
    collection: Collection, mass: GroupMass, group: LiftGroup | None, rigging: Amount | None
) -> list[DemandLine]:
    """The same by every printed figure of the whole that is taken; fluid is not in a dry figure."""
    takes = group.takes if group is not None else ()
    code = takes[0].of[-1] if len(takes) == 1 else (group.root if group else mass.group.root)
    component = collection.components.get(code)
    if component is None or not component.parts or len(takes) > 1:
        return []
    judge = Judge(collection)
    node = judge.tree.start[(code, build_of(component))]
    totals: Totals = judge.totals("dry")
    left = group.leaves if group is not None else ()
    found = []
    for witness in totals.witnesses_at(node):
        figure = statement_figure(judge, witness)
        if not figure.verdict:
            continue
        best, low, high = (float(value) for value in (figure.best, figure.low, figure.high))
        more = rigging.best if rigging else 0.0
        named = {"printed": figure.printed, "source": figure.source_name, "state": figure.state}
        parts = [Notice("figure of a source", named)]
        parts.append(Notice("rigging", {"rigging_kg": more}) if rigging else Notice("rigging not counted"))
        parts.append(Notice("fluid not counted"))
        if left:
            parts.append(Notice("speaks of the whole", {"name": component.name}))
        parts.append(Notice("verdict of the figure", {"verdict": figure.verdict}))
        found.append(
            DemandLine(
                f"by the printed figure {figure.printed}",
                Amount(low + more, best + more, high + more),
                Notice("by a printed figure", {"told": tuple(parts)}),
                printed=True,
            )
        )
    return found
