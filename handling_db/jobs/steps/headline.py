"""What stands over a whole planned job: heaviest lift, narrowest stand, what the shop lacks, what is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from handling_db.jobs.steps.answer import Heaviest, Narrowest, StepFigure
from handling_db.jobs.steps.holds.chain import ChainStep
from handling_db.jobs.steps.means import Means
from handling_db.lifting.figures import LiftAnswer
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.workplace import Mover
from handling_db.shop.answer import gear_lines


def not_looked_at(means: Means, chain: Sequence[ChainStep]) -> tuple[str, ...]:
    """Ties that nobody looked at, of the joints that this job opens or closes."""
    touched = {
        joint
        for link in chain
        if link.step is not None
        for joint in (link.step.joint, *(tie.joint for tie in link.step.ties))
        if joint is not None
    }
    return tuple(
        dict.fromkeys(
            tie.what
            for joint in sorted(touched)
            for seam in means.unit.seams.get(joint, ())
            for tie in seam.ties.values()
            if not tie.sure
        )
    )


def lacks(means: Means, moved: Mapping[str, Mover | None], found: Sequence[StepFigure]) -> tuple[Notice, ...]:
    """What the chain needs and the shop is not recorded to have.

    Parameters
    ----------
    means : Means
    moved : mapping of lift group id to Mover or None
        Lifts that were put on another hoist.
    found : sequence of StepFigure
    """
    told: list[Notice] = []
    if means.shop is None:
        return ()
    for name, mover in moved.items():
        group = means.collection.lift_groups[name]
        told.append(Notice("other hoist", {"lift": group.name, "name": mover.name if mover else None}))
    for lift in [step.lift for step in found if step.lift is not None]:
        lines = gear_lines(means.collection, means.collection.lift_groups[lift.id], means.shop)
        told += [
            Notice("lacks gear", {"wanted": line.wanted, "words": line.words})
            for line in lines
            if not line.here
        ]
    return tuple(dict.fromkeys(told))


def steadied_before(found: Sequence[StepFigure]) -> list[StepFigure]:
    """The same with what has to be steadied named at the step before."""
    steps = list(found)
    for place in range(1, len(steps)):
        for notice in (*steps[place].findings, *steps[place].cautions):
            if notice.kind in ("narrow", "may not stand", "does not stand") and place > 1:
                told = Notice("steady first", {"body": notice.facts["body"], "step": steps[place].number})
                before = steps[place - 1]
                steps[place - 1] = replace(before, cautions=(*before.cautions, told))
    return steps


def heaviest(found: Sequence[StepFigure]) -> Heaviest | None:
    """The lift or turn with the highest reading; one without an upper figure by what is known of it."""
    best: Heaviest | None = None
    for step in found:
        for one in _readings(step):
            if best is None or _size(one.kg) > _size(best.kg):
                best = one
    return best


def _size(kg: Amount) -> float:
    return kg.low if kg.high is None else kg.high


def _readings(step: StepFigure) -> Iterator[Heaviest]:
    lift = step.lift
    if lift is not None and lift.reading.expected is not None:
        yield _reading(step.number, lift, lift.reading.expected)
    turn = step.turn
    if turn is not None and turn.steps:
        worst = max(turn.steps, key=lambda one: one.hook_high_kg)
        hook = Amount.enclosing(worst.hook_low_kg, worst.hook_kg, worst.hook_high_kg)
        yield _reading(step.number, turn.lift, hook)


def _reading(number: int, lift: LiftAnswer, kg: Amount) -> Heaviest:
    mover = lift.mover
    rated, name = (mover.rating_kg, mover.name) if mover is not None else (None, "")
    return Heaviest(number, lift.name, kg, rated, name)


def narrowest(found: Sequence[StepFigure]) -> Narrowest | None:
    """The step after which something stands the narrowest."""
    best: Narrowest | None = None
    for step in found:
        for body in step.bodies:
            degrees = body.tips_deg
            if degrees is None or (best is not None and degrees >= best.tips_deg):
                continue
            figure = body.perhaps_standing or body.standing
            weakest = figure.weakest if figure is not None else None
            best = Narrowest(step.number, body.name, degrees, weakest.towards if weakest is not None else "")
    return best
