"""Stands, pallets and movers of a planned job: what is used twice at a time, what the shop does not have."""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.state import State
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import PlanStep

KINDS = ("fixture", "pallet", "mover")


def in_use(state: State) -> Iterator[tuple[str, str, int]]:
    """Kind, id, and the piece on it, of what pieces stand on or hang from."""
    for support in sorted(state.supports, key=lambda s: (s.piece, s.lift)):
        rests = support.rests
        for kind in KINDS:
            name = getattr(rests, kind) if rests is not None else None
            if name is not None:
                yield kind, name, support.piece


def _is_one(collection: Collection, kind: str, name: str) -> bool:
    """Whether it is one thing that can hold one piece; blocks of cribbing are many."""
    fixture = collection.fixtures.get(name)
    return not (kind == "fixture" and fixture is not None and fixture.kind == "cribbing")


def used_twice(collection: Collection, before: State, after: State, step: PlanStep, events: Events) -> None:
    """One stand, pallet, truck or hook for two pieces at a time."""
    seen: dict[str, int] = {}
    earlier = [name for _, name, _ in in_use(before)]
    for kind, name, piece in in_use(after):
        if name in seen and seen[name] != piece and _is_one(collection, kind, name):
            now = [used for _, used, _ in in_use(after)]
            if earlier.count(name) < now.count(name):
                events.find("used twice", name=_named(collection, kind, name))
        seen[name] = piece
    hooks: dict[str, str] = {}
    for support in sorted(after.supports, key=lambda s: s.lift):
        group = collection.lift_groups.get(support.lift)
        if group is None or group.mover is None:
            continue
        if group.mover in hooks and support not in before.supports:
            events.find("used twice", name=_named(collection, "mover", group.mover))
        hooks[group.mover] = group.id
    busy = {name for _, name, _ in in_use(before)} & {name for _, name, _ in in_use(after)}
    for kind, name in needed(step):
        if name in busy and _is_one(collection, kind, name):
            events.find("used twice", name=_named(collection, kind, name))


def needed(step: PlanStep) -> Iterator[tuple[str, str]]:
    """Kind and id of what a step uses by name, beside gear."""
    for need in step.needs:
        for kind in ("fixture", "mover"):
            name = getattr(need, kind)
            if name is not None:
                yield kind, name


def named_by(step: PlanStep) -> Iterator[tuple[str, str]]:
    """Kind and id of every fixture, pallet, mover, scale and gear that a step names."""
    yield from needed(step)
    for kind in KINDS:
        name = getattr(step.rests, kind) if step.rests is not None else None
        if name is not None:
            yield kind, name
    if step.mover is not None:
        yield "mover", step.mover
    if step.scale is not None:
        yield "source", step.scale
    for tie in step.temporary:
        if tie.fixture is not None:
            yield "fixture", tie.fixture
    for need in step.needs:
        if need.gear is not None:
            yield "gear", need.gear


_SHELVES = {"fixture": "fixtures", "pallet": "pallets", "mover": "movers", "source": "scales", "gear": "gear"}


def lacking(collection: Collection, shop: str | None, step: PlanStep, events: Events) -> None:
    """What a step names and this shop is not recorded to have."""
    place = collection.shops.get(shop or "")
    if place is None:
        return
    everything = {name for shelf in _SHELVES.values() for name in getattr(place, shelf)}
    for kind, name in dict.fromkeys(named_by(step)):
        if kind == "gear" and not place.gear:
            continue  # nobody listed what gear it has
        if name not in everything:
            events.find("not in this shop", name=_named(collection, kind, name), shop=place.name)


def _named(collection: Collection, kind: str, name: str) -> str:
    record = collection.of_kind(kind).get(name)
    return str(record.name) if record is not None else name
