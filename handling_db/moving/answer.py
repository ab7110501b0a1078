"""Where it goes: one piece set down, moved and sent on, as figures with what is not known first."""

from __future__ import annotations

import datetime
from dataclasses import replace

from handling_db.carrying.checks import PERSON_DECIDES, PLATE_GOVERNS, MovingInputError
from handling_db.carrying.demand import Demand
from handling_db.carrying.fork_entry import EntryFigure
from handling_db.carrying.marks import BESIDE_MARKS, gross_mark
from handling_db.families.serials import serial_ranges
from handling_db.lifting.extras import stated_amount
from handling_db.lifting.figures import MassLine
from handling_db.lifting.open_ranges import of_a_move
from handling_db.lifting.set_down import stand_body
from handling_db.mechanics.centre_patch import Patch, centre_patch
from handling_db.mechanics.on_stand import moved, ways_to_tip
from handling_db.mechanics.tipping import tip_or_slide
from handling_db.mechanics.vectors import IDENTITY
from handling_db.moving.faces import RoomSides
from handling_db.moving.figures import MoveAnswer, PlanCentre, PushFigure, StandFigure
from handling_db.moving.gaps import first_notice, gaps_of, past_inspections, too_steep
from handling_db.moving.load import MoveError, MoveLoad, pallet_figures
from handling_db.moving.on_floor import on_wheels
from handling_db.moving.place import OnPallet, items_on
from handling_db.moving.question import CarriedBody, MoveQuestion, MoveRecords
from handling_db.moving.set_down import (
    OnFeet,
    feet_figures,
    feet_of,
    floor_figure,
    marks_for,
    pallet_figure,
    way_figure,
)
from handling_db.moving.standing import on_its_face, on_its_stand, on_the_floor, sides_on
from handling_db.moving.trucks import (
    ForkLoad,
    beside_truck,
    entries,
    fork_load,
    kilograms,
    metres,
)
from handling_db.quantities.amount import Amount, StaticsError, reading, total
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs
from handling_db.records.kinds.packing import Packing
from handling_db.records.kinds.workplace import Mover

STATIC = (Notice("static only"), Notice("truck not in the load per area"))


def move_answer(
    collection: Collection,
    question: MoveQuestion,
    *,
    as_of: datetime.date | None = None,
    body: CarriedBody | None = None,
) -> MoveAnswer:
    """Work out what a move asks for, beside what is recorded of trucks, pallets, floors and ways.

    Parameters
    ----------
    collection : Collection
    question : MoveQuestion
    as_of : date, optional
        The day inspections are judged by; without one nothing is said about them.
    body : CarriedBody, optional
        What is moved, where it is no recorded lift and no whole component.

    Returns
    -------
    MoveAnswer

    Raises
    ------
    UnknownNameError
        Something asked for is not recorded.
    MoveError
        The question fits two things, or a face that is not there.
    WayError, BuildError, StaticsError
        The tree, the build or a given range cannot be followed.
    """
    here = MoveRecords(collection, question, body)
    load, gross = here.load, here.gross
    on, no_centre = here.laid()
    whole = here.patch(on, everything=True)
    piece = here.patch(on, everything=False)
    if on is not None:
        no_centre = whole if isinstance(whole, str) else ""
    centre = whole if isinstance(whole, Patch) else None
    sides = sides_on(collection, load, on) if on is not None else None
    slope = here.slope()
    standing = _standing(here, on, whole, sides, slope or 0.0)
    forks = fork_load(gross.with_pallet, here.pallet, _face_size(on), centre)
    trucks = [figure for mover in here.trucks for figure in beside_truck(forks, mover, question.lift_height)]
    entry_sides, entry_trouble = _entries(forks)
    floors = here.floors()
    on_floor = [on_wheels(mover, [one for one in trucks if one.id == mover.id]) for mover in here.trucks]
    driven = {code for route in here.shop.routes for code in route.over} if here.shop else set()
    limits = [kilograms(floor.point_limit) for floor in floors if floor.point_limit is not None]
    feet, feet_words = feet_figures(
        _on_feet(here, on, centre), min((limit for limit in limits if limit is not None), default=None)
    )
    size = here.size()
    marks = marks_for(here.packing, centre_known=centre is not None)
    weighed = here.packing.weighed if here.packing else None
    low, high = gross.low_kg, gross.high_kg
    if weighed is not None:
        spread = float(weighed.plus_or_minus.base)
        low, high = float(weighed.gross.base) - spread, float(weighed.gross.base) + spread
    net, net_missing = load.net()
    not_known = gaps_of(here, gross, on, no_centre or entry_trouble, slope, marks.not_recorded)
    not_known = (*too_steep(here.trucks, slope), *not_known)
    if as_of is not None:
        not_known = (*past_inspections(here.trucks, here.pallet, as_of), *not_known)
    not_known = (*_serials(here), *not_known)
    chosen = here.shop
    return MoveAnswer(
        id=load.id,
        kind=load.kind,
        name=load.name,
        root=load.root if load.kind == "component" else here.tag_component(),
        root_name=collection.components[load.root].name,
        serial="" if here.serial is None else str(here.serial),
        job=here.job.id if here.job else "",
        build=load.mass.build,
        state_words=load.state_words,
        jobs=open_jobs(
            collection,
            load.root,
            here.serial,
            here.job.id if here.job else "",
        ),
        first=first_notice(gross),
        not_known=not_known,
        lines=_lines(load),
        net=None if net is None else Amount.enclosing(net[0], net[1], None if net_missing else net[2]),
        packing_mass=_packing_load(load),
        gross=Amount.enclosing(gross.low_kg, gross.best_kg, gross.high_kg),
        known_highs=load.known_highs(),
        gross_words="as weighed" if weighed else "worked out",
        missing=gross.missing,
        weighed=f"{weighed.gross} ± {weighed.plus_or_minus}, {weighed.on.isoformat()}, {weighed.by}"
        if weighed
        else "",
        ranges=of_a_move(load.mass, ((item.kind, item.amount, item.given) for item in load.inside)),
        assumed=tuple(carried.name for carried in load.mass.carried if carried.assumed),
        packing=here.packing.id if here.packing else "",
        packing_name=here.packing.name if here.packing else "",
        shop=chosen.id if chosen else "",
        shop_name=chosen.name if chosen else "",
        size=size,
        footprint=forks.footprint,
        centre=_plan_centre(centre, sides),
        no_centre=no_centre,
        centre_height_m=None if centre is None else centre.high[2],
        entries=entry_sides,
        trucks=tuple(trucks),
        standing=standing,
        must_not=tuple(one.face.name for one in here.faces if one.face.may_rest == "no"),
        feet=feet,
        feet_words=feet_words,
        floors=tuple(
            # A shelf or a scale takes the load alone; trucks run over what a recorded way leads over.
            floor_figure(floor, gross.with_pallet, forks.footprint, on_floor if floor.id in driven else ())
            for floor in floors
        ),
        pallet=pallet_figure(collection, here.pallet, gross, here.packing) if here.pallet else None,
        ways=tuple(way_figure(chosen, route, size, question.carried_at) for route in here.routes)
        if chosen
        else (),
        marks=marks.marks,
        marks_not_recorded=marks.not_recorded,
        gross_mark=gross_mark(low_kg=low, high_kg=high, weighed=weighed is not None),
        ties=here.ties(),
        ties_words=here.ties_words(),
        drips=_drips(here.packing),
        tie_down=(here.packing.tie_down if here.packing else None)
        or (here.pallet.tie_down if here.pallet else None)
        or "not recorded",
        contact=(here.packing.contact if here.packing else None)
        or (chosen.who_to_call if chosen else None)
        or "not recorded",
        slings_here=(here.packing.slings_here if here.packing else None) or "not recorded",
        forks=_forks(here.trucks),
        piece_outline=on.outline() if on is not None else (),
        cautions=(PLATE_GOVERNS, *(() if piece is None else (*STATIC, *BESIDE_MARKS)), PERSON_DECIDES),
    )


def _standing(
    here: MoveRecords,
    on: OnPallet | None,
    whole: Patch | str | None,
    sides: RoomSides | None,
    slope: float,
) -> tuple[StandFigure, ...]:
    if on is None or sides is None or here.face is None:
        return ()
    body = None if here.fixture is None else stand_body(here.fixture, (0.0, 0.0))
    items = items_on(here.load, on, here.own(on))
    ways = ways_to_tip(items, on.outline(), body, slope=slope)
    found = [on_its_face(here.load, here.face, on, sides, ways[0], slope)]
    if here.fixture is not None:
        found.append(on_its_stand(here.load, here.face, here.fixture, sides, ways[1], slope))
    if here.pallet is not None:
        found.append(on_the_floor(here.load, here.face, here.pallet, whole, sides, slope))
    # Friction is recorded of the floor: only the lowest body stands on that.
    lowest = len(found) - 1
    return tuple(_pushed(here, figure, on_floor=i == lowest) for i, figure in enumerate(found))


def _pushed(here: MoveRecords, figure: StandFigure, *, on_floor: bool) -> StandFigure:
    """With what a level push does first, where one was asked about."""
    height, edge = here.question.push_at, figure.weakest
    if height is None or edge is None:
        return figure
    if not height > 0.0:
        raise MoveError("'push at' is a height above what it stands on; write it above 0")
    base = min(one.base_m for one in figure.edges)
    light = here.gross.low_kg
    heavy = here.gross.high_kg
    if here.fixture is not None and on_floor and here.fixture.own_mass is not None:
        own = stated_amount(here.fixture.own_mass, here.fixture.plus_or_minus)
        if own is not None and own.high is not None:
            light, heavy = light + own.low, None if heavy is None else heavy + own.high
    frictions = [floor.friction for floor in here.floors() if floor.friction is not None] if on_floor else []
    tips = tip_or_slide(light, base, height, 0.0).tips_at_n
    if not frictions:
        push = PushFigure(height, "friction not recorded", reading(tips), None, base / height)
        return replace(figure, push=push)
    low = min(float(one.from_.number or 0) for one in frictions)
    high = max(float(one.to.number or 0) for one in frictions)
    firsts = {tip_or_slide(light, base, height, friction).first for friction in (low, high)}
    first = firsts.pop() if len(firsts) == 1 else "may do either"
    slides = (light * low, None if heavy is None else heavy * high)
    return replace(figure, push=PushFigure(height, first, reading(tips), slides, base / height))


def _on_feet(here: MoveRecords, on: OnPallet | None, centre: Patch | None) -> OnFeet | None:
    """The feet that touch the floor: of the pallet, of the stand, or its own. [m, kg]"""
    load = here.gross.with_pallet
    if here.pallet is not None:
        return None if here.pallet.feet is None else feet_of(here.pallet.feet, centre, load)
    fixture = here.fixture
    if fixture is not None:
        own = stated_amount(fixture.own_mass, fixture.plus_or_minus)
        body = stand_body(fixture, (0.0, 0.0))
        if fixture.feet is None or on is None:
            return None
        if own is None or body.own is None or body.deck_m is None:
            return feet_of(fixture.feet, None, load)
        by = (0.0, 0.0, body.deck_m)
        items = [*moved(items_on(here.load, on, here.own(on)), IDENTITY, by), body.own]
        try:
            patch: Patch | None = centre_patch(items)
        except StaticsError:
            patch = None
        high = None if load.high_kg is None or own.high is None else load.high_kg + own.high
        low = None if load.low_kg is None else load.low_kg + own.low
        with_stand = Demand(
            name=f"{load.name} on {fixture.name}", low_kg=low, high_kg=high, missing=load.missing
        )
        return feet_of(fixture.feet, patch, with_stand)
    feet = here.face.face.feet if here.face is not None else None
    if feet is None or on is None:
        return None
    area = float(feet.length.base * feet.width.base) if feet.length and feet.width else None
    return OnFeet(on.outline(), area, centre, load)


def _entries(forks: ForkLoad) -> tuple[tuple[EntryFigure, ...], str]:
    try:
        return entries(forks, None), ""
    except MovingInputError as error:
        return (), str(error)


def _face_size(on: OnPallet | None) -> tuple[float, float] | None:
    if on is None:
        return None
    outline = on.outline()
    x, y = ([point[axis] for point in outline] for axis in (0, 1))
    return max(x) - min(x), max(y) - min(y)


def _serials(here: MoveRecords) -> tuple[Notice, ...]:
    """That the serial number of the unit at hand is not one that the unit or the piece fits."""
    unit = here.collection.components.get(here.job.unit if here.job is not None else here.load.root)
    if here.serial is None or unit is None:
        return ()
    group = here.collection.lift_groups.get(here.question.what)
    piece = here.collection.components[here.tag_component() if group is not None else here.load.root]
    others = [(piece.name, piece.fits), *([(group.name, group.fits)] if group is not None else [])]
    return tuple(
        Notice("other serial", {"serial": str(here.serial), "name": name, "ranges": ranges})
        for name, ranges in serial_ranges(unit, here.serial, others).items()
    )


def _lines(load: MoveLoad) -> tuple[MassLine, ...]:
    pieces = load.mass.pieces
    found = [MassLine("piece", load.name, pieces)]
    found += [MassLine(item.kind, item.name, item.amount) for item in load.inside]
    if load.pallet is not None:
        figures = pallet_figures(load.pallet)
        own = None if figures is None else Amount.enclosing(*figures)
        found.append(MassLine("pallet", load.pallet.name, own))
    return tuple(found)


def _packing_load(load: MoveLoad) -> Amount | None:
    """Packing and pallet together; None where nobody knows either. [kg]"""
    lines = [line for line in _lines(load) if line.kind in ("packing", "pallet")]
    if not lines or any(line.load is None for line in lines):
        return None
    return total({str(number): line.load for number, line in enumerate(lines)}).amount


def _plan_centre(patch: Patch | None, sides: RoomSides | None) -> PlanCentre | None:
    if patch is None or sides is None:
        return None
    return PlanCentre(patch.at, patch.low, patch.high, sides.ends(0), sides.ends(1))


def _drips(packing: Packing | None) -> str:
    if packing is None or packing.drips is None:
        return "drips oil: nobody looked"
    return "drips oil: yes" if packing.drips == "yes" else f"drips oil: none, checked by {packing.checked_by}"


def _forks(trucks: tuple[Mover, ...]) -> tuple[float, float] | None:
    """Length and spread of the forks of the first forklift that records both. [m]"""
    for mover in trucks:
        length, spread = metres(mover.fork_length), metres(mover.fork_spread)
        if mover.kind == "forklift" and length is not None and spread is not None:
            return length, spread
    return None
