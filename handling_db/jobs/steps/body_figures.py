"""The bodies of a state as figures: weight, centre and its way, what carries them, how they stand."""

from __future__ import annotations

from handling_db.jobs.steps.answer import BodyFigure, Carrier, StepFigure
from handling_db.jobs.steps.holds.chain import ChainStep, on_temporary_alone, perhaps_held
from handling_db.jobs.steps.holds.state import State, Support
from handling_db.jobs.steps.means import Means
from handling_db.jobs.steps.standing import perhaps_standing, place_words, rests_on, standing, tips_deg
from handling_db.lifting.figures import CentreFigure, NamedThing, SetDownFigure
from handling_db.mechanics.vectors import Vector, distance


def body_figures(means: Means, link: ChainStep, last: StepFigure | None) -> tuple[BodyFigure, ...]:
    """Every body after a step, the one that the step is about first.

    Parameters
    ----------
    means : Means
    link : ChainStep
    last : StepFigure or None
        The step before.
    """
    state = link.after
    about = link.about
    found = sorted(
        state.bodies(means.unit),
        key=lambda body: (
            about not in body,
            -sum(means.unit.known_kg(i) for i in body & means.unit.leaves),
        ),
    )
    return tuple(_body(means, state, body, last) for body in found)


def _body(means: Means, state: State, body: frozenset[int], last: StepFigure | None) -> BodyFigure:
    unit = means.unit
    weighed = means.scales.weigh(body, state.oil, state.pieces(unit), state.some)
    up = next((state.up[i] for i in sorted(body) if i in state.up), None)
    centre, why = weighed.centre(up)
    supports = state.carriers(body)
    stands = [s for s in supports if rests_on(s)]
    figure = standing(means.collection, weighed.mass, stands[0]) if stands else None
    perhaps, all_ways = None, True
    if stands and stands[0].rests is not None and stands[0].rests.face is not None:
        perhaps, all_ways = perhaps_standing(means.collection, means.scales, state, body, stands[0])
    inside = weighed.mass.inside
    was = _was(last, tuple(unit.pieces[i].way for i in inside))
    alone, ties = on_temporary_alone(unit, state)
    doubt = [names for pieces, names in perhaps_held(unit, state) if pieces & body]
    return BodyFigure(
        name=means.scales.name(body),
        ways=tuple(unit.pieces[i].way for i in inside),
        pieces=tuple(NamedThing(unit.component(i).id, unit.name(i)) for i in inside),
        kg=weighed.kg,
        missing=weighed.missing,
        centre=centre,
        no_centre=why,
        moved_m=_moved(was, centre),
        carried_by=tuple(_carrier(means, s) for s in supports),
        standing=figure,
        perhaps_standing=perhaps if _tips_less(perhaps, figure) else None,
        before_deg=was.tips_deg if was is not None else None,
        temporary=ties if alone & body else (),
        perhaps=tuple(dict.fromkeys(name for names in doubt for name in names)),
        not_gone_through=not all_ways,
    )


def _carrier(means: Means, support: Support) -> Carrier:
    if support.lift:
        group = means.collection.lift_groups[support.lift]
        mover = means.collection.movers.get(group.mover or "")
        name = mover.name if mover is not None else "the hook; which hoist is not recorded"
        low, high = support.holds_kg or (None, None)
        return Carrier("hook", name, group.id, holds_low_kg=low, holds_high_kg=high)
    rests = support.rests
    if rests is None:
        return Carrier(support.kind, support.kind)
    name = place_words(means.collection, rests)
    ids = rests.fixture or rests.pallet or rests.mover or ""
    face = means.places.face(rests.face, frozenset(means.unit.solid)) if rests.face else None
    return Carrier(support.kind, name, ids, rests.face or "", face.face.name if face is not None else "")


def _was(last: StepFigure | None, ways: tuple[tuple[str, ...], ...]) -> BodyFigure | None:
    """The body before the step that most of a body was part of."""
    if last is None:
        return None

    def shared(body: BodyFigure) -> int:
        return sum(
            1 for way in ways for other in body.ways if way[: len(other)] == other or other[: len(way)] == way
        )

    best = max(last.bodies, key=shared, default=None)
    return best if best is not None and shared(best) else None


def _moved(was: BodyFigure | None, centre: CentreFigure | None) -> float | None:
    """How far the best centre moved, in the frame of the unit. [m]"""
    if was is None or was.centre is None or centre is None:
        return None
    one: Vector = was.centre.at
    moved = distance(one, centre.at)
    return moved if moved > 0.0 else None


def _tips_less(perhaps: SetDownFigure | None, sure: SetDownFigure | None) -> bool:
    one, other = tips_deg(perhaps), tips_deg(sure)
    return one is not None and (other is None or one < other)
