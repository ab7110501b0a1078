"""Collections put together as taking a parcel in does it, without a folder."""

from __future__ import annotations

from collections.abc import Iterable

from handling_db.records.collection import Collection, collect
from handling_db.records.parts.texts import Part
from handling_db.records.versions import in_force
from handling_db.sharing.compare import Came, additions, compare


def merged(own: Collection, added: Iterable[tuple[str, Part]]) -> Collection:
    """The collection with records added; what is there already stays as it is."""
    return in_force(collect([*own.records(), *added], own.lines))


def take(own: Collection, sent: Collection, came: Came) -> Collection:
    """Compare, add and merge in one step."""
    return merged(own, additions(compare(own, sent), came))
