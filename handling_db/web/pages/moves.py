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
from handling_db.web.pages.asked import one_of, text_of, unit_of
from handling_db.web.pages.cards import Printed, crate_tag, move_card
from handling_db.web.pages.ranges import asked_ranges, boxes_for
from handling_db.web.pages.sending import Visit, marks_for, shown
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


def _asked(args: Any) -> tuple[dict[str, str], list[str], list[str]]:
    """The texts of a question from an address; other arguments are passed over."""
    texts = {name: (args.get(name) or "")[:200] for name in _TEXTS}
    sets = [text[:200] for text in args.getlist("set")[:_MOST]]
    return texts, sets, asked_ranges(args)


def piece(connection: sqlite3.Connection, name: str) -> Loaded:
    """The lift group or component of an address, with what it is handled with."""
    return from_database(connection, name, PIECE, "handled")


def _about(found: Loaded) -> tuple[str, str]:
    return str(found.kind), found.id


def _answer(connection: sqlite3.Connection, code: str, args: Any) -> tuple[MoveAnswer, tuple[str, str]]:
    from handling_db.moving.answer import move_answer
    from handling_db.moving.texts import read_question

    texts, sets, assume = _asked(args)
    found = piece(connection, code)
    question = read_question(found.id, texts, sets=sets, assume=assume)
    return move_answer(found.records, question, as_of=_day()), _about(found)


def _day() -> datetime.date:
    return datetime.date.fromisoformat(today())


def _dock(answer: MoveAnswer, visit: Visit) -> DockFigure | None:
    """A scale reading beside the paper, where one was given."""
    scale, doubt = (visit.text(name, 40) or None for name in ("scale", "scale_doubt"))
    if scale is None and doubt is None:
        return None
    from handling_db.lifting.asked import kilograms
    from handling_db.moving.dock_scale import against_scale

    return against_scale(answer, kilograms(scale, "scale"), kilograms(doubt, "scale doubt"))


def _kept(args: Any, *, ranges: bool) -> list[tuple[str, str]]:
    """The question as arguments of an address; without its ranges for the boxes that ask for them anew."""
    texts, sets, assume = _asked(args)
    pairs = [(name, text) for name, text in texts.items() if text.strip()]
    pairs += [("set", text) for text in sets] + [("assume", text) for text in assume if ranges]
    unit = unit_of(args)
    return [*pairs, ("unit", unit)] if unit else pairs


def _tail(args: Any) -> str:
    """The same question for another address; only what a question is made of."""
    pairs = _kept(args, ranges=True)
    return f"?{urlencode(pairs)}" if pairs else ""


@shown("moves.html")
def moves(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What can be asked about: lift groups, and pieces with a packing of their own."""
    handled = from_database(connection, reach="handled").records
    groups = [(code, handled.lift_groups[code].name or code) for code in lift_group_ids(connection)]
    names = {**dict(connection.execute("select code, name from component")), **dict(groups)}
    packed = [
        (
            packing.id,
            packing.name,
            [(code, names.get(code, code)) for code in (*packing.for_lift_groups, *packing.for_components)],
        )
        for _, packing in sorted(handled.packings.items())
    ]
    shops = [(shop.id, shop.name) for _, shop in sorted(handled.shops.items())]
    return {
        "groups": groups,
        "packed": packed,
        "shops": shops,
        "json": {"lift_groups": [code for code, _ in groups], "packings": [p[0] for p in packed]},
    }


@shown("move.html")
def move(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Where one piece goes: gross, forks, trucks, standing, pallet, floor, way, marks."""
    args, first = visit.request.args, visit.first
    path = visit.path(f"/move/{visit.request.url_vars['code']}")
    answer, about = _answer(connection, visit.code, args)
    dock = _dock(answer, visit)
    return {
        "about": about,
        "a": answer,
        "moves": move_wording,
        "dock": dock,
        "scale": {name: (args.get(name) or "")[:40] for name in ("scale", "scale_doubt")},
        "drawing": plan_view(answer),
        "worst": worst_first(answer),
        "trucks": [(truck, worst_of(truck)) for truck in answer.trucks],
        "is_lift": about[0] == "lift group",
        "shops": shops_named(connection),
        "card_path": f"{path}/card{_tail(args)}",
        "tag_path": f"{path}/tag{_tail(args)}",
        "asked": _asked(args)[0],
        "boxes": boxes_for(answer.ranges, first),
        "given": any(one.given for one in answer.ranges),
        "kept": _kept(args, ranges=False),
        "asked_at": path,
        "json": lambda: {**move_json(answer, first=first), "scale": move_json(dock, first=first)},
    }


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
        unit, stamp = unit_of(request.args), queries.stamp(connection)
        answer, about = _answer(connection, code, request.args)
        path = f"/move/{request.url_vars['code']}{_tail(request.args)}"
        printed = Printed(
            stamp=stamp,
            on=today(),
            page=public_address(datasette, request, path),
            for_all=bool(public_address(datasette, None, path)),
            stylesheet=str(urls.static_plugins("handling_db", "cards.css")),
            came=marks_for(connection, about).brief(),
            ways=tuple((name, str(Addresses(datasette).path(path))) for name, path, _ in BAR),
        )
        base = str(datasette.setting("base_url")).rstrip("/")
        made = crate_tag if tag else move_card
        return keep_unit(made(answer, printed, first=unit or stamp.first_unit), unit, base)

    try:
        return Response.html(await ask(datasette, gather))
    except HandlingError as error:
        return await problem(datasette, error)


@shown("hands.html")
def hands(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Which pieces are above a shop's limit for lifting by hand, the unknown ones included."""
    from handling_db.shop.hands import hands_answer

    found = piece(connection, visit.code)
    collection = found.records
    answer = hands_answer(collection, found.id, shop=visit.text("shop") or None)
    index = _index(collection, found.id, visit.request.args)
    return {
        "about": _about(found),
        "a": answer,
        "index": index,
        "reach": {name: (visit.request.args.get(name) or "")[:20] for name in _REACH},
        "is_component": found.kind == "component",
        "moves": move_wording,
        **_hands_listed(answer),
        "shops": [(one.id, one.name) for _, one in sorted(collection.shops.items())],
        "json": lambda: {**move_json(answer), "index": move_json(index)},
    }


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


def _index(collection: Any, code: str, args: Any) -> IndexAnswer | None:
    """The index of the revised NIOSH equation, where the geometry of a lift was given."""
    texts = {name: text_of(args, name, 20) for name in _REACH}
    if not any(texts[name] for name in _NUMBERS):
        return None
    from handling_db.carrying.lifting_equation import HandReach
    from handling_db.shop.hands import index_answer

    chosen: Any = {name: one_of(name, texts[name], words) for name, words in _WORDS.items()}
    given: Any = {name: _number(name, texts[name]) for name in _NUMBERS}
    return index_answer(collection, code, HandReach(**given, **chosen))


def _number(name: str, text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise HandlingError(f"{name}={text!r} is not a number; write it plain, such as 40") from None


@shown("fixtures-for.html")
def fixtures_for(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What fixture one piece needs, who has one, what people used instead, and was that rated."""
    from handling_db.shop.fixtures import fixtures_answer

    found = piece(connection, visit.code)
    answer = fixtures_answer(found.records, found.id, as_of=_day())
    return {
        "about": _about(found),
        "a": answer,
        "moves": move_wording,
        "json": lambda: move_json(answer, first=visit.stamp.first_unit),
    }


@shown("shop-for.html")
def shop_for(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What one shop has for one lift and move, and what it lacks."""
    from handling_db.shop.answer import shop_answer

    shop, before = decode(visit.request.url_vars["shop"]), visit.text("before") or None
    found = piece(connection, visit.code)
    collection = found.records
    answer = shop_answer(collection, found.id, shop, other=before, as_of=_day())
    return {
        "about": _about(found),
        "a": answer,
        "moves": move_wording,
        "others": [(s.id, s.name) for _, s in sorted(collection.shops.items()) if s.id != shop],
        "before": before or "",
        "short_of": _short_of(answer),
        "hooks": [(mover, min(mover.beside, key=grief, default=None)) for mover in answer.movers],
        "is_lift": found.kind == "lift group",
        "code": found.id,
        "shop_id": shop,
        "whole": whole,
        "json": lambda: move_json(answer, first=visit.stamp.first_unit),
    }
