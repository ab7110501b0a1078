"""What is not known about a move, in sentences: it stands before every figure."""

from __future__ import annotations

import datetime

from handling_db.carrying.pallets import Gross
from handling_db.lifting.answer import disputes
from handling_db.lifting.load.carried import at_datum_words, at_line_words
from handling_db.lifting.said.notices import notice_words
from handling_db.lifting.set_down import NO_CENTRE, stand_gaps
from handling_db.moving.place import OnPallet
from handling_db.moving.question import MoveRecords
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Mover


def first_line(gross: Gross) -> str:
    """What stands first: an upper figure, or what keeps it from being one."""
    if gross.high_kg is None:
        return f"AT LEAST: no mass for {', '.join(gross.missing)}. There is no upper figure; weigh it."
    return "Heaviest believable figure, everything on the forks counted."


def gaps_of(
    here: MoveRecords,
    gross: Gross,
    on: OnPallet | None,
    no_centre: str,
    slope: float | None,
    marks: tuple[str, ...],
) -> tuple[str, ...]:
    """Every gap, one a sentence: masses first, then places, then what nobody recorded or gave. [rad]"""
    says = [f"No mass: {name}." for name in gross.missing]
    says += [notice_words(one) for one in disputes(here.load.mass)]
    if no_centre:
        says.append(no_centre[0].upper() + no_centre[1:])
    datum = here.load.mass.at_datum
    if datum and not no_centre:
        says.append(at_datum_words(datum))
    if here.load.kind == "lift group" and not no_centre:
        says += [at_line_words(name) for name in here.load.mass.at_its_line]
    if here.job is None and here.open_jobs():
        named = ", ".join(job.id for job in here.open_jobs())
        says.append(
            f"No job is named: build and what is off are as recorded for any unit. Open here: {named}."
        )
    if here.pallet is None and here.fixture is None:
        says.append("No pallet is named: figures are for the piece on its face.")
    if here.packing is None:
        says.append(
            "No packing is recorded for it: ties, marks, size and how the load is spread are not known."
        )
    elif on is not None and here.pallet is not None and here.packing.piece_at is None:
        says.append("Where it sits on the pallet is not recorded: taken at the middle.")
    if here.packing is not None and on is not None and here.packing.piece_turned is None:
        says.append("Which way round it sits on the pallet is not recorded: taken as not turned.")
    if here.fixture is not None and on is not None:
        says += [text[0].upper() + text[1:] for text in stand_gaps(here.fixture, here.piece_at() is not None)]
    if on is not None and here.own(on) is not None:
        says.append(NO_CENTRE[0].upper() + NO_CENTRE[1:])
    if slope is None:
        says.append("No slope is recorded for the way: tip angles are for a level floor.")
    if here.question.lift_height is None:
        says.append("The highest fork height of this move was not given.")
    if here.shop is None:
        says.append("No shop is named: every truck in the records is shown, and no floor, door or way.")
    if marks:
        says.append(f"Nobody looked, for the marks: {', '.join(marks)}.")
    return tuple(dict.fromkeys(says))


def past_inspections(trucks: tuple[Mover, ...], pallet: Pallet | None, day: datetime.date) -> tuple[str, ...]:
    """Trucks and pallet whose inspection was due before a day."""
    things = [(mover.name, mover.inspection_due) for mover in trucks]
    if pallet is not None:
        things.append((pallet.name, pallet.inspection_due))
    return tuple(
        f"{name}: inspection was due on {due.isoformat()}."
        for name, due in things
        if due is not None and due < day
    )
