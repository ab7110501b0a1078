"""A body of a planned job carried on a truck over the ways of its shop: the same figures as any move."""

from __future__ import annotations

import math

from handling_db.carrying.demand import RatingBeside
from handling_db.errors import HandlingError
from handling_db.jobs.steps.holds.chain import ChainStep
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.means import Means
from handling_db.jobs.steps.standing import rests_on
from handling_db.moving.answer import move_answer
from handling_db.moving.figures import MoveAnswer, TruckFigure
from handling_db.moving.load import Inside, MoveLoad
from handling_db.moving.question import CarriedBody, MoveQuestion
from handling_db.moving.trucks import TRUCKS
from handling_db.moving.worst import grief, worst_of
from handling_db.records.kinds.job_plan import PlanStep
from handling_db.records.kinds.workplace import Mover

OVER = ("above", "may be above")


def carried(means: Means, link: ChainStep, step: PlanStep) -> MoveAnswer | None:
    """The move of a step by truck, and what is wrong with it; None where nothing is carried by a truck.

    Parameters
    ----------
    means : Means
    link : ChainStep
    step : PlanStep
    """
    mover = means.collection.movers.get(step.mover or "")
    if step.do != "carry" or mover is None or link.about is None:
        return None
    if mover.kind not in TRUCKS:
        _bare_rating(means, link, mover)
        return None
    shop = means.shop
    routes = () if shop is None else tuple(route.id for route in shop.routes)
    if step.route is not None and shop is not None and step.route not in routes:
        link.events.find("no such way", way=step.route, shop=shop.name)
    elif step.route is None:
        link.events.ask("which way it goes", mover=mover.name)
    try:
        move = _move(means, link, mover, step.route if step.route in routes else None)
    except HandlingError as error:
        link.events.ask("move not worked out", mover=mover.name, why=str(error))
        _bare_rating(means, link, mover)
        return None
    move_events(means, move, mover, link.events)
    return move


def _move(means: Means, link: ChainStep, mover: Mover, route: str | None) -> MoveAnswer:
    """The move as `move` works it out, for the body as it is after the step."""
    state, piece = link.after, link.about
    assert piece is not None  # looked at by the caller
    body = state.body_of(means.unit, piece)
    weighed = means.weighed(state, piece)
    rests = next((s.rests for s in state.carriers(body) if s.rests is not None and rests_on(s)), None)
    pallet = means.collection.pallets.get(rests.pallet or "") if rests is not None else None
    inside = tuple(Inside(e.kind, e.name, e.amount, e.at) for e in weighed.mass.extras)
    load = MoveLoad(
        "component",
        means.unit.root.id,
        means.scales.name(body),
        "as planned",
        weighed.mass,
        inside,
        pallet,
        None,
    )
    at = None
    if rests is not None and rests.piece_at is not None:
        at = (float(rests.piece_at[0].base), float(rests.piece_at[1].base))
    question = MoveQuestion(
        what=means.unit.root.id,
        build=means.unit.texts,
        packing="none",
        pallet=pallet.id if pallet is not None else "none",
        fixture=(rests.fixture if rests is not None else None) or "none",
        face=rests.face if rests is not None else None,
        shop=means.shop.id if means.shop is not None else None,
        route=route,
        truck=mover.id,
        serial=means.plan.serial,
    )
    return move_answer(means.collection, question, as_of=means.question.as_of, body=CarriedBody(load, at))


def move_events(means: Means, move: MoveAnswer, mover: Mover, events: Events) -> None:
    """What of a move is wrong or open: plate, axles, floors, doors, gradient, how it stands on the way."""
    due = mover.inspection_due
    if due is not None and due < means.question.as_of:
        events.watch("inspection was due", name=mover.name, due=due.isoformat())
    _trucks(move, mover, events)
    if not move.ways or len(move.ways) != 1:
        return  # no way is named: of which floor and which door nothing is said
    for floor in move.floors:
        for beside in floor.beside:
            if beside.word in OVER:
                events.find("over its rating", name=beside.what, **_asked(beside))
        if not any(beside.rating_kg is not None for beside in floor.beside):
            events.ask("no floor limit", floor=floor.name)
    way = move.ways[0]
    low = tuple(p.name for p in way.passages if p.above == "does not go through")
    narrow = tuple(p.name for p in way.passages if p.straight == p.turned == "does not go through")
    if low or narrow:
        events.find("does not go through", way=way.name, openings=tuple(dict.fromkeys((*low, *narrow))))
    elif any("not recorded" in (p.straight, p.turned, p.above) for p in way.passages):
        events.ask("openings not compared", way=way.name, openings=tuple(p.name for p in way.passages))
    _gradient(means, move, mover, events)


def _trucks(move: MoveAnswer, mover: Mover, events: Events) -> None:
    """The plate from every side that the forks may come in from: over from all of them, or from some."""
    by_side = [(truck, worst) for truck in bare(move) if (worst := worst_of(truck)) is not None]
    over = [(truck, worst) for truck, worst in by_side if worst.word in OVER]
    if by_side and len(over) == len(by_side):
        truck, worst = min(over, key=lambda pair: (worst_asked(pair[1]), pair[0].side))
        if truck.look_up_m is not None:
            events.find("over its plate", name=mover.name, side=truck.side, basis=worst.what, **_asked(worst))
        else:  # what does not depend on the side
            events.find("over its rating", name=mover.name, **_asked(worst))
    elif over:
        best = best_side(move)
        events.watch(
            "over from some sides",
            name=mover.name,
            sides=tuple(truck.side for truck, _ in over),
            best=best.side if best is not None else "",
        )
    elif not by_side or all(worst.rating_kg is None for _, worst in by_side):
        events.ask("no rating recorded", name=mover.name)
    elif all(worst.high_kg is None for _, worst in by_side):
        events.watch("truck without upper figure", name=mover.name, missing=move.missing)
    axled = [truck for truck in bare(move) if truck.axles is not None]
    if axled and all(truck.axles is not None and truck.axles.rear_kg <= 0.0 for truck in axled):
        events.find("truck tips forward", name=mover.name)


def _gradient(means: Means, move: MoveAnswer, mover: Mover, events: Events) -> None:
    """The slope of the way beside what is recorded for the truck, and how the load stands on it."""
    slope = move.ways[0].slope
    if slope is None:
        events.ask("no slope recorded", way=move.ways[0].name)
        return
    most = None if mover.slope is None else float(mover.slope.base)
    if most is not None and slope > most:
        events.find("slope too steep", name=mover.name, way=move.ways[0].name, slope_deg=slope, most_deg=most)
    elif most is None and slope > 0.0:
        events.ask("no slope of the truck", name=mover.name)
    edges = [stand.weakest.tips_at for stand in move.standing if stand.weakest is not None]
    left = min(edges, default=None)
    if left is not None and slope > 0.0:
        if left <= 0.0:
            events.find("goes over on the way", body=move.name, way=move.ways[0].name, slope_deg=slope)
        elif left < means.least_tip:
            events.watch(
                "narrow on the way",
                body=move.name,
                tips_deg=left,
                slope_deg=slope,
                least_deg=means.least_tip,
                whose=means.whose_tip,
            )


def bare(move: MoveAnswer) -> tuple[TruckFigure, ...]:
    """The truck with its forks alone, from every side; with an attachment where it has nothing else."""
    return tuple(truck for truck in move.trucks if not truck.attachment) or move.trucks


def best_side(move: MoveAnswer) -> TruckFigure | None:
    """The side from which least of the plate is asked, the shortest load centre where that is the same."""
    known = [
        (*grief(worst), -(truck.look_up_m or 0.0), truck.side, truck)
        for truck in bare(move)
        if (worst := worst_of(truck)) is not None
    ]
    return max(known, key=lambda one: one[:4])[4] if known else next(iter(bare(move)), None)


def worst_asked(beside: RatingBeside) -> float:
    """By how much a rating is exceeded. [kg]"""
    return math.inf if beside.left_kg is None else -beside.left_kg


def _asked(beside: RatingBeside) -> dict[str, float | None]:
    return {
        "asked_kg": beside.low_kg if beside.high_kg is None else beside.high_kg,
        "rated_kg": beside.rating_kg,
    }


def _bare_rating(means: Means, link: ChainStep, mover: Mover) -> None:
    """What is no truck beside its rating at the best."""
    if mover.rated is None:
        link.events.ask("no rating recorded", name=mover.name)
        return
    assert link.about is not None
    kg = means.weighed(link.after, link.about).kg
    asked = None if kg is None else kg.low if kg.high is None else kg.high
    rated = float(mover.rated.base)
    if asked is not None and asked > rated:
        link.events.find("over its rating", name=mover.name, asked_kg=asked, rated_kg=rated)
