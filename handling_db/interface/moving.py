"""Where it goes: forks, floors, ways, standing, hands, and what a shop has."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypedDict, Unpack

from handling_db.errors import HandlingError
from handling_db.interface.given import Span, ranges
from handling_db.interface.told import told
from handling_db.loading import PIECE, named
from handling_db.moving.as_json import move_json
from handling_db.moving.text import move_text, stand_text
from handling_db.records.proved import Records
from handling_db.serialise import Answer
from handling_db.shop.text import fixtures_text, hands_text, index_text, shop_text

if TYPE_CHECKING:
    from handling_db.moving.figures import MoveAnswer
    from handling_db.moving.question import MoveQuestion
    from handling_db.shop.figures import FixtureAnswer, HandsAnswer, IndexAnswer, ShopAnswer


def _piece(records: Records, name: str) -> str:
    return named(records, name, PIECE)[1]


class MoveAsked(TypedDict, total=False):
    """What is asked about one move; what is left out is taken from the records, or said to be missing.

    Parameters
    ----------
    state : str
        Of a component; a lift group says itself what is trapped in it.
    settings : sequence of str
        Another size: ``discs=12``.
    assume : mapping of component to range
        For parts that nobody weighed.
    packing, pallet, fixture, face, shop, route, job : str
        Ids; ``none`` for packing, pallet or fixture means without one.
    lift_height, carried_at, push_at : str
        Such as ``300 mm``.
    slope : str
        Such as ``3 deg``.
    serial : str
        Serial number of the unit at hand: its one open job counts without being named.
    """

    state: str | None
    settings: Sequence[str]
    assume: Mapping[str, Span] | None
    packing: str | None
    pallet: str | None
    fixture: str | None
    face: str | None
    shop: str | None
    route: str | None
    job: str | None
    serial: str | None
    lift_height: str | None
    carried_at: str | None
    push_at: str | None
    slope: str | None


def question(records: Records, name: str, **given: Unpack[MoveAsked]) -> MoveQuestion:
    """The question that a caller's words make.

    Raises
    ------
    HandlingError
        Nothing goes by the name, or a text cannot be read; it says which and what to write.
    """
    from dataclasses import replace

    from handling_db.moving.texts import read_question

    texts = {key: text for key, text in given.items() if isinstance(text, str)}
    read = read_question(_piece(records, name), texts, sets=given.get("settings", ()))
    return replace(read, assumed=ranges(given.get("assume")))


def move(
    records: Records, name: str, *, as_of: datetime.date, **asked: Unpack[MoveAsked]
) -> Answer[MoveAnswer]:
    """Where one piece goes: gross, forks, trucks, standing, pallet, floor, way, marks. [kg, m, degrees]

    Parameters
    ----------
    records : Records
    name : str
        Id or name of a lift group or a component.
    as_of : date
        Past which inspections and papers are over. There is no default: a day left out would look at none.
    asked
        As `MoveAsked`.

    Raises
    ------
    HandlingError
        As `question`.
    """
    from handling_db.moving.answer import move_answer

    found = move_answer(records, question(records, name, **asked), as_of=as_of)
    return told(records, (name, PIECE), found, move_text, move_json)


def stand(
    records: Records, name: str, *, as_of: datetime.date, **asked: Unpack[MoveAsked]
) -> Answer[MoveAnswer]:
    """How it stands: distance to every edge, and the tilt at which it goes over. [m, degrees]

    Raises
    ------
    HandlingError
        As `move`.
    """
    from handling_db.moving.answer import move_answer

    def to_json(answer: MoveAnswer, first: str) -> dict[str, Any]:
        names = ("id", "standing", "feet", "must_not", "not_known", "cautions")
        written: dict[str, Any] = move_json({name: getattr(answer, name) for name in names}, first=first)
        written["must_not_rest_on"] = written.pop("must_not")
        return written

    found = move_answer(records, question(records, name, **asked), as_of=as_of)
    return told(records, (name, PIECE), found, stand_text, to_json)


def hands(records: Records, name: str, *, shop: str | None = None) -> Answer[HandsAnswer]:
    """Which pieces are above the shop's limit for lifting by hand; those that nobody weighed too. [kg]

    Raises
    ------
    HandlingError
        Nothing goes by the name, or there is no such shop.
    """
    from handling_db.shop.hands import hands_answer

    found = hands_answer(records, _piece(records, name), shop=shop)
    return told(records, (name, PIECE), found, hands_text, move_json)


def hand_index(
    records: Records, name: str, *, others: Sequence[str] = (), **geometry: Any
) -> Answer[IndexAnswer]:
    """The recommended limit and the index of the revised NIOSH equation for one piece at one end of a lift.

    Parameters
    ----------
    others : sequence of str
        Other pieces in the same job, each lifted the same way and as often: gives the composite index too.
    geometry
        horizontal, vertical, travel, asymmetry, per_minute, duration, coupling, units: as
        `handling_db.carrying.lifting_equation.HandReach`. [cm and kg, or in and lb]

    Raises
    ------
    HandlingError
        Nothing goes by the name, or a part of the geometry is missing; nothing is assumed in its place.
    """
    from handling_db.carrying.lifting_equation import HandReach
    from handling_db.shop.hands import index_answer

    missing = [word for word in ("duration", "coupling", "units") if geometry.get(word) is None]
    if missing:
        raise HandlingError(f"the index needs {' and '.join(missing)} too; nothing is assumed in their place")
    pieces = [_piece(records, other) for other in others]
    found = index_answer(records, _piece(records, name), HandReach(**geometry), pieces)
    return told(records, (name, PIECE), found, index_text, move_json)


def shop_has(
    records: Records, shop: str, name: str, *, as_of: datetime.date, before: str | None = None
) -> Answer[ShopAnswer]:
    """What a shop has beside one lift and move, and what it lacks. [kg]

    Parameters
    ----------
    shop : str
        Its id.
    name : str
        Id or name of a lift group or a component.
    as_of : date
        As for `move`.
    before : str, optional
        The shop that had it before: what had it that this one lacks?

    Raises
    ------
    HandlingError
        Nothing goes by a name.
    """
    from handling_db.shop.answer import shop_answer

    found = shop_answer(records, _piece(records, name), shop, other=before, as_of=as_of)
    return told(records, (name, PIECE), found, shop_text, move_json)


def fixtures(records: Records, name: str | None = None, *, as_of: datetime.date) -> Answer[FixtureAnswer]:
    """What fixture is needed, who has one, what people used instead, and was that rated.

    Raises
    ------
    HandlingError
        Nothing goes by the name.
    """
    from handling_db.shop.fixtures import fixtures_answer

    code = None if name is None else _piece(records, name)
    found = fixtures_answer(records, code, as_of=as_of)
    return told(records, (name, PIECE), found, fixtures_text, move_json)
