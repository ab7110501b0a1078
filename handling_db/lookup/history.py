"""What changed between two states of a collection, in words and figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from handling_db.families.build import BuildError
from handling_db.lookup.weight import answer
from handling_db.quantities.display import with_doubt
from handling_db.records.collection import Collection
from handling_db.records.in_hand import below
from handling_db.records.kinds.origin import BOOKKEEPING
from handling_db.records.parts.texts import short_id
from handling_db.records.written import written

What = Literal["new", "gone", "changed"]


@dataclass(frozen=True, slots=True)
class Change:
    """One record that is new, gone or changed.

    Parameters
    ----------
    what : What
    kind, id, name : str
    details : tuple of str
        What is different, one sentence each: fields, then the figures that follow from it.
    """

    what: What
    kind: str
    id: str
    name: str
    details: tuple[str, ...] = ()


def changes(before: Collection, after: Collection, *, component: str | None = None) -> tuple[Change, ...]:
    """What changed between two collections.

    Parameters
    ----------
    before, after : Collection
    component : str, optional
        Only this component, what is below it in either, and what is said about these.

    Returns
    -------
    tuple of Change
        By kind in the order of kinds, then by id. A component whose own record is the same but whose
        total moved counts as changed.
    """
    wanted = below(before, component) | below(after, component) if component is not None else None
    old = _records(before)
    new = _records(after)
    moved = _moved(before, after)
    found = []
    keys = sorted({*old, *new, *(("component", code) for code in moved)})
    for kind, record_id in keys:
        one, two = old.get((kind, record_id)), new.get((kind, record_id))
        if wanted is not None and not _is_about(kind, record_id, two or one, wanted):
            continue
        name = _name(two or one)
        figures = moved.get(record_id, ()) if kind == "component" else ()
        if one is None:
            found.append(Change("new", kind, record_id, name, (*_said(kind, two), *figures)))
        elif two is None:
            found.append(Change("gone", kind, record_id, name, _said(kind, one)))
        else:
            details = (*_differences(written(kind, one), written(kind, two)), *figures)
            if details:
                found.append(Change("changed", kind, record_id, name, details))
    return tuple(found)


def _records(collection: Collection) -> dict[tuple[str, str], Any]:
    return {(kind, r.id): r for kind, r in collection.records() if kind not in BOOKKEEPING}


def _is_about(kind: str, record_id: str, record: Any, wanted: frozenset[str]) -> bool:
    if kind == "component":
        return record_id in wanted
    if kind == "weighing":
        return record.of in wanted
    if kind == "choice":
        return record.component in wanted
    if kind == "note":
        return record.about.id in wanted
    if kind == "joint":
        return not wanted.isdisjoint(record.between)
    return kind == "lift group" and record.root in wanted


def _name(record: Any) -> str:
    text = getattr(record, "name", None) or getattr(record, "text", None) or ""
    plain = " ".join(str(text).split())
    return plain if len(plain) <= 60 else plain[:59] + "…"


def _said(kind: str, record: Any) -> tuple[str, ...]:
    if kind == "weighing" and record is not None:
        figure = record.gross or "by two readings"
        return (f"{record.of}: {figure}, on {record.on.isoformat()}, by {record.by}",)
    if kind == "note" and record is not None:
        return (f"about {record.about.kind} {record.about.id}, {record.status}",)
    return ()


def _differences(one: dict[str, Any], two: dict[str, Any]) -> Iterator[str]:
    """Which fields differ, and how; lists item by item, by what each item is."""
    for key in dict.fromkeys([*one, *two]):
        old, new = one.get(key), two.get(key)
        if old == new:
            continue
        if isinstance(old, list) or isinstance(new, list):
            yield from _in_list(key, old or [], new or [])
        else:
            yield f"{key}: {_short(old)} became {_short(new)}"


def _in_list(key: str, old: list[Any], new: list[Any]) -> Iterator[str]:
    mine, theirs = _by_text(old), _by_text(new)
    gone = [item for text, item in mine.items() if text not in theirs]
    come = [item for text, item in theirs.items() if text not in mine]
    if not gone and not come:
        yield f"{key}: the same in another order"
    named_old = {_item_id(item): item for item in gone if _item_id(item)}
    named_new = {_item_id(item): item for item in come if _item_id(item)}
    both = [name for name in named_old if name in named_new]
    for name in both:
        for told in _differences(named_old[name], named_new[name]):
            yield f"{key}, {name}: {told}"
    for item in gone:
        if _item_id(item) not in both:
            yield f"{key}: gone: {_short(item)}"
    for item in come:
        if _item_id(item) not in both:
            yield f"{key}: new: {_short(item)}"


def _by_text(items: Iterable[Any]) -> dict[str, Any]:
    return {short_id(item): item for item in items}


def _item_id(item: Any) -> str:
    """What an item of a list goes by: a part line by its component, a statement or a tie by its id."""
    if not isinstance(item, dict):
        return ""
    return str(item.get("id") or item.get("component") or "")


def _short(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        text = ", ".join(f"{key} {_short(item)}" for key, item in value.items())
    elif isinstance(value, list):
        text = ", ".join(_short(item) for item in value)
    else:
        text = " ".join(str(value).split())
    return text if len(text) <= 160 else text[:159] + "…"


def _moved(before: Collection, after: Collection) -> dict[str, tuple[str, ...]]:
    """Components whose dry total is another one, with both figures in words."""
    found: dict[str, tuple[str, ...]] = {}
    for code in sorted({*before.components, *after.components}):
        texts = [_total(collection, code) for collection in (before, after)]
        if texts[0] != texts[1]:
            one, two = (text or "not there" for text in texts)
            if texts[0] is not None and texts[1] is not None:
                found[code] = (f"dry total: {one} became {two}",)
            elif texts[1] is not None:
                found[code] = (f"dry total: {two}",)
    return found


def _total(collection: Collection, code: str) -> str | None:
    if code not in collection.components:
        return None
    try:
        figure = answer(collection, code, state="dry").headline
    except (BuildError, KeyError, ValueError):
        return "cannot be worked out"
    if not figure.complete and figure.high == 0:
        return "not known"
    return with_doubt(figure)
