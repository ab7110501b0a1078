"""It is too heavy for what is here: which pieces come off first."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypedDict, Unpack

from handling_db.interface.given import MassLike, Span, kilograms, ranges
from handling_db.interface.told import told
from handling_db.loading import PIECE, named
from handling_db.records.proved import Records
from handling_db.serialise import Answer

if TYPE_CHECKING:
    from handling_db.jobs.lighten.asked import LightenQuestion
    from handling_db.jobs.lighten.figures import LightenAnswer
    from handling_db.records.parts.texts import State


class LightenAsked(TypedDict, total=False):
    """What is asked besides the body: one limit at most, else the hoist of the lift itself.

    Parameters
    ----------
    under : str, Pint quantity or number of kilograms
        A limit as a mass.
    hoist, fork, pallet, floor, scale, hands : str
        Ids: a mover, a mover, a pallet, a floor area (``shop:area``), a source, a shop with a hand limit.
    load_centre : str
        For a fork, such as ``700 mm``; otherwise its rated one.
    shop : str
        Whose rules count, and whose largest hook where no limit is named.
    break_loose : bool
        Whether the shop's share for breaking loose counts; left out: where the lift parts a joint.
    state : str
        Of a component: dry, drained or filled; left out: filled.
    settings : sequence of str
        Another size: ``discs=12``.
    job : str
        The unit in hand: what is off and which ties are out.
    serial : int
    assume : mapping of component to range
        For parts that nobody weighed.
    """

    under: MassLike | None
    hoist: str | None
    fork: str | None
    pallet: str | None
    floor: str | None
    scale: str | None
    hands: str | None
    load_centre: str | None
    shop: str | None
    break_loose: bool | None
    state: State | None
    settings: Sequence[str]
    job: str | None
    serial: int | None
    assume: Mapping[str, Span] | None


_AS_GIVEN = (
    "hoist", "fork", "pallet", "floor", "scale", "hands", "shop", "break_loose", "state", "job", "serial",
)  # fmt: skip


def _question(records: Records, name: str, as_of: datetime.date, given: LightenAsked) -> LightenQuestion:
    from handling_db.jobs.lighten.asked import LightenQuestion
    from handling_db.lifting.asked import metres, settings

    under = given.get("under")
    as_given: Any = {name: given.get(name) for name in _AS_GIVEN}
    return LightenQuestion(
        what=named(records, name, PIECE)[1],
        under_kg=None if under is None else kilograms(under, "under"),
        load_centre_m=metres(given.get("load_centre"), "load centre"),
        build=settings(given.get("settings", ())),
        as_of=as_of,
        assumed=ranges(given.get("assume")),
        **as_given,
    )


def lighten(
    records: Records, name: str, *, as_of: datetime.date, **asked: Unpack[LightenAsked]
) -> Answer[LightenAnswer]:
    """Which pieces come off first, so that what is left is under a limit: fewest pieces first. [kg, m]

    Parameters
    ----------
    records : Records
    name : str
        Id or name of a lift group or a component.
    as_of : date
        Past which inspections are over: such a rating is not used. There is no default.
    asked
        As `LightenAsked`.

    Raises
    ------
    HandlingError
        Nothing goes by a name, several limits were given, or none can be found in the records.
    """
    from handling_db.jobs.lighten.answer import lighten_answer
    from handling_db.jobs.lighten.words import lighten_json, lighten_text

    found = lighten_answer(records, _question(records, name, as_of, asked))
    return told(records, (name, PIECE), found, lighten_text, lighten_json)
