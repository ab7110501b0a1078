"""Pages about moving: where it goes, cards for print, hands, fixtures, and what a shop has."""

from __future__ import annotations

import datetime
import sqlite3
from typing import Any
from urllib.parse import urlencode

from datasette.utils.asgi import Response

from handling_db.database import queries
from handling_db.database.queries.handling import lift_group_ids
from handling_db.errors import HandlingError
from handling_db.loading import PIECE, Loaded, from_database
from handling_db.moving import words as move_wording
from handling_db.moving.as_json import move_json
from handling_db.moving.figures import DockFigure, MoveAnswer
from handling_db.moving.worst import grief, worst_first, worst_of
from handling_db.quantities.sentence import whole
from handling_db.shop.figures import IndexAnswer
from handling_db.web.drawings.plan_view import plan_view
from handling_db.web.pages.cards import Printed, crate_tag, move_card
from handling_db.web.pages.ranges import asked_ranges, boxes_for
from handling_db.web.pages.sending import json_asked, marks_for, page, unit_of
from handling_db.web.site import Addresses, ask, decode, problem, public_address, today
from handling_db.web.ways import BAR, keep_unit

_TEXTS = (
    "state", "packing", "pallet", "fixture", "face", "shop", "route", "job", "serial", "lift_height",
    "carried_at", "push_at", "slope",
)  # fmt: skip
_MOST = 20
_NUMBERS = ("horizontal", "vertical", "travel", "asymmetry", "per_minute")
_WORDS = {
    "duration": ("short", "moderate", "long"),
    "coupling": ("good", "fair", "poor"),
    "units": ("metric", "US"),
}
_REACH = (*_NUMBERS, *_WORDS)


def _asked(request: Any) -> tuple[dict[str, str], list[str], list[str], str]:
    """The texts of a question from an address; other arguments are passed over."""
    texts = {name: (request.args.get(name) or "")[:200] for name in _TEXTS}
    sets = [text[:200] for text in request.args.getlist("set")[:_MOST]]
    assume = asked_ranges(request.args)
    unit = (request.args.get("unit") or "").strip()
    if unit not in ("", "kg", "lb"):
        raise HandlingError(f"unit={unit!r} is not one of: kg, lb")
    return texts, sets, assume, unit


def piece(connection: sqlite3.Connection, name: str) -> Loaded:
    """The lift group or component of an address, with what it is handled with."""
    return from_database(connection, name, PIECE, "handled")


def _about(found: Loaded) -> tuple[str, str]:
    return str(found.kind), found.id


def _answer(
    connection: sqlite3.Connection, code: str, request: Any
) -> tuple[MoveAnswer, str, tuple[str, str]]:
    from handling_db.moving.answer import move_answer
    from handling_db.moving.texts import read_question

    texts, sets, assume, unit = _asked(request)
    found = piece(connection, code)
    question = read_question(found.id, texts, sets=sets, assume=assume)
    answer = move_answer(found.records, question, as_of=_day())
    return answer, unit or queries.stamp(connection).first_unit, _about(found)


def _day() -> datetime.date:
    return datetime.date.fromisoformat(today())


def _dock(answer: MoveAnswer, request: Any) -> DockFigure | None:
    """A scale reading beside the paper, where one was given."""
    texts = [(request.args.get(name) or "").strip()[:40] or None for name in ("scale", "scale_doubt")]
    if texts == [None, None]:
        return None
    from handling_db.lifting.asked import kilograms
    from handling_db.moving.dock_scale import against_scale

    return against_scale(answer, kilograms(texts[0], "scale"), kilograms(texts[1], "scale doubt"))


def _kept(request: Any) -> list[tuple[str, str]]:
    """The question without its ranges, for the boxes that ask for them anew."""
    texts, sets, _, unit = _asked(request)
    pairs = [(name, text) for name, text in texts.items() if text.strip()]
    return [*pairs, *(("set", text) for text in sets), *([("unit", unit)] if unit else [])]


def _tail(request: Any) -> str:
    """The same question for another address; only what a question is made of."""
    texts, sets, assume, unit = _asked(request)
    pairs = [(name, text) for name, text in texts.items() if text.strip()]
    pairs += [("set", text) for text in sets] + [("assume", text) for text in assume]
    pairs += [("unit", unit)] if unit else []
    return f"?{urlencode(pairs)}" if pairs else ""


async def moves(request: Any, datasette: Any) -> Any:
    """What can be asked about: lift groups, and pieces with a packing of their own."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        handled = from_database(connection, reach="handled").records
        groups = [(code, handled.lift_groups[code].name or code) for code in lift_group_ids(connection)]
        names = {**dict(connection.execute("select code, name from component")), **dict(groups)}
        packed = [
            (
                packing.id,
                packing.name,
                [
                    (code, names.get(code, code))
                    for code in (*packing.for_lift_groups, *packing.for_components)
                ],
            )
            for _, packing in sorted(handled.packings.items())
        ]
        shops = [(shop.id, shop.name) for _, shop in sorted(handled.shops.items())]
        return {
            "groups": groups,
            "packed": packed,
            "shops": shops,
            "stamp": queries.stamp(connection),
            "json": {"lift_groups": [code for code, _ in groups], "packings": [p[0] for p in packed]},
        }

    return await page(datasette, "moves.html", gather, request, json_asked(request))


async def move(request: Any, datasette: Any) -> Any:
    """Where one piece goes: gross, forks, trucks, standing, pallet, floor, way, marks."""
    code = decode(request.url_vars["code"])
    path = datasette.urls.path(f"/move/{request.url_vars['code']}")

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        answer, first, about = _answer(connection, code, request)
        dock = _dock(answer, request)
        return {
            "about": about,
            "a": answer,
            "first": first,
            "moves": move_wording,
            "dock": dock,
            "scale": {name: (request.args.get(name) or "")[:40] for name in ("scale", "scale_doubt")},
            "drawing": plan_view(answer),
            "worst": worst_first(answer),
            "trucks": [(truck, worst_of(truck)) for truck in answer.trucks],
            "is_lift": about[0] == "lift group",
            "shops": shops_named(connection),
            "card_path": f"{path}/card{_tail(request)}",
            "tag_path": f"{path}/tag{_tail(request)}",
            "asked": _asked(request)[0],
            "boxes": boxes_for(answer.ranges, first),
            "given": any(one.given for one in answer.ranges),
            "kept": _kept(request),
            "asked_at": path,
            "stamp": queries.stamp(connection),
            "json": lambda: {**move_json(answer, first=first), "scale": move_json(dock, first=first)},
        }

    return await page(datasette, "move.html", gather, request, json_asked(request))


async def card(request: Any, datasette: Any) -> Any:
    """The move card (A5) of one piece, to print."""
    return await _print(request, datasette, tag=False)


async def tag(request: Any, datasette: Any) -> Any:
    """The crate tag (A6) of one piece, to print."""
    return await _print(request, datasette, tag=True)


async def _print(request: Any, datasette: Any, *, tag: bool) -> Any:
    code = decode(request.url_vars["code"])
    urls = datasette.urls

    def gather(connection: sqlite3.Connection) -> str:
        answer, first, about = _answer(connection, code, request)
        path = f"/move/{request.url_vars['code']}{_tail(request)}"
        printed = Printed(
            stamp=queries.stamp(connection),
            on=today(),
            page=public_address(datasette, request, path),
            for_all=bool(public_address(datasette, None, path)),
            stylesheet=str(urls.static_plugins("handling_db", "cards.css")),
            came=marks_for(connection, about).brief(),
            ways=tuple((name, str(Addresses(datasette).path(path))) for name, path, _ in BAR),
        )
        unit = unit_of(request)
        base = str(datasette.setting("base_url")).rstrip("/")
        made = crate_tag if tag else move_card
        return keep_unit(made(answer, printed, first=first), unit, base)

    try:
        return Response.html(await ask(datasette, gather))
    except HandlingError as error:
        return await problem(datasette, error)


async def hands(request: Any, datasette: Any) -> Any:
    """Which pieces are above a shop's limit for lifting by hand, the unknown ones included."""
    code = decode(request.url_vars["code"])
    shop = (request.args.get("shop") or "").strip()[:200] or None

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.shop.hands import hands_answer

        found = piece(connection, code)
        collection = found.records
        answer = hands_answer(collection, found.id, shop=shop)
        index = _index(collection, found.id, request)
        return {
            "about": _about(found),
            "a": answer,
            "index": index,
            "reach": {name: (request.args.get(name) or "")[:20] for name in _REACH},
            "is_component": found.kind == "component",
            "moves": move_wording,
            **_hands_listed(answer),
            "shops": [(one.id, one.name) for _, one in sorted(collection.shops.items())],
            "stamp": queries.stamp(connection),
            "json": lambda: {**move_json(answer), "index": move_json(index)},
        }

    return await page(datasette, "hands.html", gather, request, json_asked(request))


def _hands_listed(answer: Any) -> dict[str, Any]:
    """Where no limit is known every piece is listed by mass, what nobody weighed apart and first."""
    nobody = [line for line in answer.not_known if line.load is None]
    if answer.shop and answer.limit_kg is not None:
        return {"unweighed": answer.not_known, "by_mass": []}
    every = [*answer.not_known, *answer.above, *answer.may_be_above, *answer.below]
    weighed = [line for line in every if line.load is not None]
    ordered = sorted(
        weighed, key=lambda line: -(line.load.best if line.load.high is None else line.load.high)
    )
    return {"unweighed": nobody, "by_mass": ordered}


def shops_named(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    """Every shop by id and name."""
    return [(shop.id, shop.name) for shop in queries.shops(connection)]


def _short_of(answer: Any) -> list[tuple[Any, Any]]:
    """Hooks with what is asked of them above their rating, or perhaps above, the worst of each first."""
    found = []
    for mover in answer.movers:
        worst = min(mover.beside, key=grief, default=None)
        if worst is not None and worst.word in ("above", "may be above"):
            found.append((mover, worst))
    return sorted(found, key=lambda pair: grief(pair[1]))


def _index(collection: Any, code: str, request: Any) -> IndexAnswer | None:
    """The index of the revised NIOSH equation, where the geometry of a lift was given."""
    texts = {name: (request.args.get(name) or "").strip()[:20] for name in _REACH}
    if not any(texts[name] for name in _NUMBERS):
        return None
    from handling_db.carrying.lifting_equation import HandReach
    from handling_db.shop.hands import index_answer

    for name, words in _WORDS.items():
        if texts[name] not in words:
            raise HandlingError(f"{name}={texts[name]!r} is not one of: {', '.join(words)}")
    given: Any = {name: _number(name, texts[name]) for name in _NUMBERS}
    chosen: Any = {name: texts[name] for name in _WORDS}
    return index_answer(collection, code, HandReach(**given, **chosen))


def _number(name: str, text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise HandlingError(f"{name}={text!r} is not a number; write it plain, such as 40") from None


async def fixtures_for(request: Any, datasette: Any) -> Any:
    """What fixture one piece needs, who has one, what people used instead, and was that rated."""
    code = decode(request.url_vars["code"])

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.shop.fixtures import fixtures_answer

        found = piece(connection, code)
        answer = fixtures_answer(found.records, found.id, as_of=_day())
        stamp = queries.stamp(connection)
        return {
            "about": _about(found),
            "a": answer,
            "first": stamp.first_unit,
            "moves": move_wording,
            "stamp": stamp,
            "json": lambda: move_json(answer, first=stamp.first_unit),
        }

    return await page(datasette, "fixtures-for.html", gather, request, json_asked(request))


async def shop_for(request: Any, datasette: Any) -> Any:
    """What one shop has for one lift and move, and what it lacks."""
    shop, code = decode(request.url_vars["shop"]), decode(request.url_vars["code"])
    before = (request.args.get("before") or "").strip()[:200] or None

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.shop.answer import shop_answer

        found = piece(connection, code)
        collection = found.records
        answer = shop_answer(collection, found.id, shop, other=before, as_of=_day())
        stamp = queries.stamp(connection)
        return {
            "about": _about(found),
            "a": answer,
            "first": stamp.first_unit,
            "moves": move_wording,
            "others": [(s.id, s.name) for _, s in sorted(collection.shops.items()) if s.id != shop],
            "before": before or "",
            "short_of": _short_of(answer),
            "hooks": [(mover, min(mover.beside, key=grief, default=None)) for mover in answer.movers],
            "is_lift": found.kind == "lift group",
            "code": found.id,
            "shop_id": shop,
            "whole": whole,
            "stamp": stamp,
            "json": lambda: move_json(answer, first=stamp.first_unit),
        }

    return await page(datasette, "shop-for.html", gather, request, json_asked(request))
