"""Notes at the step they belong to: stored energy first, then what is found to differ, ties, turns."""

from __future__ import annotations

import datetime

from handling_db.jobs.steps.holds.unit import Unit
from handling_db.lifting.figures import NoteFigure
from handling_db.lifting.said.notes import notes_about
from handling_db.records.kinds.job_plan import PlanStep

# What is read before the step is done; the rest is for the bench, the lift sheet and the card.
AT_A_STEP = frozenset({"stored energy", "difference", "temporary tie", "tie", "order", "stick", "turn"})
_ABOUT_PIECES = frozenset({"stored energy", "difference", "order"})


def notes_at(
    unit: Unit, step: PlanStep, freed: frozenset[int], serial: int | None, as_of: datetime.date
) -> tuple[NoteFigure, ...]:
    """Notes about what a step takes out, takes off, lifts or turns, and those that it names itself.

    Parameters
    ----------
    unit : Unit
    step : PlanStep
    freed : frozenset of pieces
        What comes off or goes on in the step.
    serial : int or None
        A note for other serial numbers is left out where the unit has one.
    as_of : date
    """
    things: dict[tuple[str, str], str] = {}
    for tie in step.ties:
        things[("tie", tie.tie)] = "a tie of this step"
        joint = unit.collection.joints.get(tie.joint)
        record = next((t for t in joint.tie_list if t.key(joint.id) == tie.tie), None) if joint else None
        if record is not None and record.part is not None:
            # Notes about bolts are often kept at the set they are counted in.
            things |= {("component", code): "a tie of this step" for code in record.part[-2:]}
    if step.joint is not None:
        things[("joint", step.joint)] = "the joint of this step"
        for seam in unit.seams.get(step.joint, ()):
            things |= {("tie", key): "a tie of the joint" for key in seam.ties}
    if step.lift_group is not None:
        things[("lift group", step.lift_group)] = "the lift of this step"
    found = list(notes_about(unit.collection, things, AT_A_STEP, serial=serial, as_of=as_of))
    pieces = {("component", unit.component(i).id): "comes off or goes on in this step" for i in freed}
    if step.do == "turn":
        pieces[("component", unit.root.id)] = "the unit that is turned"
        found += notes_about(
            unit.collection, pieces, frozenset({"turn", "temporary tie"}), serial=serial, as_of=as_of
        )
    found += notes_about(unit.collection, pieces, _ABOUT_PIECES, serial=serial, as_of=as_of)
    every = frozenset(note.kind for note in unit.collection.notes.values())
    own = {
        (note.about.kind, note.about.id): "named by the step"
        for code in step.notes
        if (note := unit.collection.notes.get(code)) is not None
    }
    named = notes_about(unit.collection, own, every, serial=serial, as_of=as_of)
    found += [note for note in named if note.id in step.notes]
    once = {note.id: note for note in reversed(found)}  # one reason is enough for one note
    return tuple(sorted(once.values(), key=lambda note: (note.kind != "stored energy", note.id)))
