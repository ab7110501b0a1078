"""What an address asks of a lift, and lifts worked out: once for the records as they are on a day."""

from __future__ import annotations

import datetime
import sqlite3
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.errors import HandlingError
from handling_db.loading import from_database
from handling_db.web.pages.asked import one_of, text_of
from handling_db.web.pages.ranges import asked_ranges
from handling_db.web.site import today

if TYPE_CHECKING:
    from markupsafe import Markup

    from handling_db.lifting.case import Case, LiftQuestion
    from handling_db.lifting.figures import LiftAnswer
    from handling_db.lifting.turn.figures import TurnAnswer
    from handling_db.records.proved import Records


@dataclass(frozen=True, slots=True)
class LiftAddress:
    """What an address asks besides the lift group.

    Parameters
    ----------
    job : str
        Id of the unit in hand; empty for none.
    serial : int or None
        Serial number of the unit at hand: its one open job counts without being named.
    assumed : tuple of (component id, low, high)
        Ranges somebody gives for parts without a mass. [kg]
    zeroed : bool or None
        Whether the cell was zeroed with the gear on; None for as recorded.
    """

    job: str = ""
    serial: int | None = None
    assumed: tuple[tuple[str, Fraction, Fraction], ...] = ()
    zeroed: bool | None = None

    @classmethod
    def read(cls, args: Any) -> LiftAddress:
        """Read ``job=ID``, ``serial=1187``, ``assume=PART=19 kg to 25 kg`` (repeatable) and
        ``zeroed=with gear`` or ``zeroed=empty``.

        Raises
        ------
        HandlingError
            A range that cannot be read, or a serial that is no number.
        """
        from handling_db.lifting.asked import assumed_ranges

        ranges = assumed_ranges(asked_ranges(args), "assume=")
        serial = text_of(args, "serial")
        if serial and not (serial.isascii() and serial.isdigit()):
            raise HandlingError(f"serial={serial!r} is not a number, such as 1187")
        zeroed = text_of(args, "zeroed")
        return cls(
            text_of(args, "job"),
            int(serial) if serial else None,
            tuple((part, *limits) for part, limits in ranges.items()),
            ZEROED[zeroed and one_of("zeroed", zeroed, ("with gear", "empty"))],
        )

    def question(self) -> dict[str, Any]:
        """The same as the public interface takes it: today, with the published rules."""
        from handling_db.interface.lifting import rules

        return {
            "as_of": datetime.date.fromisoformat(today()),
            "rules": rules(),
            "job": self.job or None,
            "serial": self.serial,
            "zeroed": self.zeroed,
            "assume": {part: (low, high) for part, low, high in self.assumed} or None,
        }


ZEROED = {"": None, "with gear": True, "empty": False}


def question_of(collection: Records, asked: LiftAddress) -> LiftQuestion:
    """The question of an address, today, with the published rules.

    Raises
    ------
    HandlingError
        There is no such job.
    """
    from handling_db.interface import lifting

    return lifting.asked(collection, **asked.question())


@dataclass(frozen=True)  # no slots: its turn is kept beside
class WorkedLift:
    """A lift with all that its pages are written from."""

    collection: Records
    case: Case
    answer: LiftAnswer

    @cached_property
    def turn(self) -> TurnAnswer:
        """Its turn worked out.

        Raises
        ------
        HandlingError
            It records none.
        """
        from handling_db.lifting.turn.answer import turn_of

        return turn_of(self.case)


KEPT = 32
_lifts: LastAnswers[WorkedLift] = LastAnswers(KEPT)
_of_records: LastAnswers[WorkedLift] = LastAnswers(
    KEPT, stamped=False
)  # good for the next file, if these are
_drawn: LastAnswers[tuple[Markup | None, Markup | None]] = LastAnswers(KEPT)


def _key(connection: sqlite3.Connection, code: str, asked: LiftAddress) -> tuple[object, ...]:
    return stamp_of(connection), today(), code, asked


def lift_worked(connection: sqlite3.Connection, code: str, asked: LiftAddress) -> WorkedLift:
    """One lift worked out; its page, sheet and notes ask the same.

    It is worked out anew where a record that it may rest on changed, or the day, and not for every new file.

    Raises
    ------
    HandlingError
        There is no such lift group, or it cannot be followed through the tree.
    """

    def of_file() -> WorkedLift:
        collection = from_database(connection, code, ("lift group",), "handled").records

        def work_out() -> WorkedLift:
            from handling_db.lifting.answer import answer_of
            from handling_db.lifting.case import work

            case = work(collection, code, question_of(collection, asked))
            return WorkedLift(collection, case, answer_of(case))

        # what is kept holds its collection, so that no other one has its number in memory
        return _of_records.get((id(collection), today(), code, asked), work_out)

    return _lifts.get(_key(connection, code, asked), of_file)


def lift_drawn(
    connection: sqlite3.Connection, code: str, asked: LiftAddress, first: str
) -> tuple[Markup | None, Markup | None]:
    """The load as it hangs, from the side and from above, each drawn once for the lift and the unit.

    Parameters
    ----------
    connection, code, asked
        As for `lift_worked`.
    first : str
        kg or lb.
    """

    def draw() -> tuple[Markup | None, Markup | None]:
        from handling_db.lifting.pictured.outlines import outlines
        from handling_db.web.drawings.lift import ABOVE, SIDE, lift_to_scale

        found = lift_worked(connection, code, asked)
        shown = outlines(found.case)
        side, above = (lift_to_scale(found.answer, shown, view, first=first) for view in (SIDE, ABOVE))
        return side, above

    return _drawn.get((*_key(connection, code, asked), first), draw)
