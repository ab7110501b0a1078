"""What is not known about a move, as notices: it stands before every figure."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence

from handling_db.carrying.pallets import Gross
from handling_db.lifting.answer import disputes
from handling_db.lifting.load.carried import at_datum, at_line
from handling_db.lifting.set_down import NO_CENTRE, stand_gaps
from handling_db.moving.place import OnPallet
from handling_db.moving.question import MoveRecords
from handling_db.quantities.notice import Notice, once
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Mover


def first_notice(gross: Gross) -> Notice:
    """What stands first: an upper figure, or what keeps it from being one."""
    return Notice("gross complete") if gross.complete else Notice("gross at least", {"names": gross.missing})


def gaps_of(
    here: MoveRecords,
    gross: Gross,
    on: OnPallet | None,
    no_centre: str,
    slope: float | None,
    marks: tuple[str, ...],
) -> tuple[Notice, ...]:
    """Every gap: masses first, then places, then what nobody recorded or gave. [rad]"""
    mass = here.load.mass
    found = [Notice("not weighed", {"name": name}) for name in gross.missing]
    found += disputes(mass)
    if no_centre:
        found.append(_open(no_centre))
    elif mass.at_datum:
        found.append(_open(at_datum(mass.at_datum)))
    if here.load.kind == "lift group" and not no_centre:
        found += [_open(at_line(name)) for name in mass.at_its_line]
    jobs = here.open_jobs() if here.job is None else ()
    if jobs:
        found.append(Notice("no job named", {"jobs": tuple(job.id for job in jobs)}))
    found += [Notice(kind) for kind in _not_named(here, on)]
    if here.fixture is not None and on is not None:
        found += [_open(gap) for gap in stand_gaps(here.fixture, here.piece_at() is not None)]
    if on is not None and here.own(on) is not None:
        found.append(_open(NO_CENTRE))
    if slope is None:
        found.append(Notice("no slope"))
    if here.question.lift_height is None:
        found.append(Notice("no fork height"))
    if here.shop is None:
        found.append(Notice("no shop"))
    if marks:
        found.append(Notice("marks", {"marks": marks}))
    return once(found)


def _open(why: str | Notice) -> Notice:
    """What the calculation of a centre or a stand found open."""
    return Notice("open", {"why": why})


def _not_named(here: MoveRecords, on: OnPallet | None) -> Iterator[str]:
    if here.pallet is None and here.fixture is None:
        yield "no pallet"
    if here.packing is None:
        yield "no packing"
        return
    if on is not None and here.pallet is not None and here.packing.piece_at is None:
        yield "place on pallet"
    if on is not None and here.packing.piece_turned is None:
        yield "turn on pallet"


def too_steep(trucks: Sequence[Mover], slope: float | None) -> tuple[Notice, ...]:
    """Trucks whose book states less than the slope of the way. [rad]"""
    rise = math.degrees(slope or 0.0)
    return tuple(
        Notice("too steep", {"name": mover.name, "book": str(mover.slope), "rise_deg": rise})
        for mover in trucks
        if mover.slope is not None and rise > float(mover.slope.base) + 1e-9
    )


def past_inspections(
    trucks: tuple[Mover, ...], pallet: Pallet | None, day: datetime.date
) -> tuple[Notice, ...]:
    """Trucks and pallet whose inspection was due before a day."""
    things = [(mover.name, mover.inspection_due) for mover in trucks]
    if pallet is not None:
        things.append((pallet.name, pallet.inspection_due))
    return tuple(
        Notice("inspection over", {"name": name, "due": due.isoformat()})
        for name, due in things
        if due is not None and due < day
    )
