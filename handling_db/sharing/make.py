"""Making a parcel. The same records, sender and day give the same bytes on every machine."""

from __future__ import annotations

import datetime
import hashlib
import io
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.pictures import MAX_PICTURE_BYTES, PICTURE_ENDINGS, PICTURES
from handling_db.files.yaml_text import dump_text
from handling_db.records.collection import Collection
from handling_db.records.kinds.origin import Aside, Of, mark_id
from handling_db.records.parts.three_valued import listed
from handling_db.records.versions import Key, versions
from handling_db.records.written import version, written
from handling_db.sharing.contents import everything, for_component, named_outside, not_in, since
from handling_db.sharing.manifest import NAME, FileLine, Manifest
from handling_db.sharing.parcel import SIGNATURE
from handling_db.sharing.senders import odd_name

RECORDS_IN_A_FILE = 500
TEXT_IN_A_FILE = 1_000_000  # a record's text has some 15 signs a value
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can say; a parcel's day stands in its manifest


def make_parcel(
    collection: Collection,
    keys: Iterable[Key],
    *,
    about: str,
    sender: str,
    by: str,
    on: datetime.date,
    pictures: Mapping[str, bytes] | None = None,
    sign: object = None,
) -> bytes:
    """Pack records.

    Parameters
    ----------
    collection : Collection
        What is in force, with its asides.
    keys : iterable of (kind, id)
    about : str
        What the parcel is, in words.
    sender : str
        Id of the shop.
    by : str
        Role of who made it.
    on : date
    pictures : mapping of name to bytes, optional
        Photographs and pages that the records name, as `pictures_of` gives them.
    sign : signing key, optional
        As `handling_db.sharing.sign.read_key` gives it.

    Returns
    -------
    bytes
        A zip file. Its entries are stored as they are, not packed: how a packer packs differs from one
        machine to the next, and then the same records would give other bytes.

    Raises
    ------
    HandlingError
        There is nothing to send, or the sender's name is no plain id.
    """
    odd = odd_name(sender)
    if odd:
        raise HandlingError(f"--shop: {odd.removeprefix('its ')}")
    chosen = frozenset(keys)
    if not chosen:
        raise HandlingError("there is nothing to send: no record is chosen")
    files = {name: text.encode() for name, text in _record_files(collection, chosen)}
    files.update(pictures or {})
    outside = tuple(
        Of(kind=kind, id=code, version=version(kind, collection.of_kind(kind)[code]))
        for kind, code in named_outside(collection, chosen)
    )
    manifest = Manifest(
        format="handling-db parcel",
        version=1,
        sender=sender,
        by=by,
        on=on,
        about=about,
        files=tuple(
            FileLine(name=name, bytes=len(data), sha256=hashlib.sha256(data).hexdigest())
            for name, data in sorted(files.items())
        ),
        builds_on=outside,
    )
    entries = {NAME: manifest.text().encode()}
    if sign is not None:
        from handling_db.sharing.sign import signature_of

        entries[SIGNATURE] = signature_of(entries[NAME], sign)
    return _zipped({**entries, **dict(sorted(files.items()))})


def _record_files(collection: Collection, keys: frozenset[Key]) -> Iterable[tuple[str, str]]:
    """The records of each kind by id, some hundred a file; versions that are not in force as asides."""
    by_kind: dict[str, list[dict[str, Any]]] = {}
    every = versions(collection)
    for kind, record_id in sorted(keys):
        record = collection.of_kind(kind).get(record_id)
        own = version(kind, record) if record is not None else None
        if record is not None:
            by_kind.setdefault(kind, []).append(written(kind, record))
        for stamp, held in sorted(every.get((kind, record_id), {}).items()):
            if stamp != own:
                beside = _beside(collection, kind, record_id, stamp, written(kind, held))
                by_kind.setdefault("aside", []).append(written("aside", beside))
    for kind, records in sorted(by_kind.items()):
        for number, some in enumerate(_in_files(records), 1):
            yield f"records/{kind.replace(' ', '-')}-{number:03d}.yml", some


def _in_files(records: list[dict[str, Any]]) -> Iterator[str]:
    """Texts of some hundred records; fewer where they are long: a receiver reads files of limited size."""
    texts: list[str] = []
    size = 0
    for text in map(dump_text, ([record] for record in records)):
        if texts and (len(texts) == RECORDS_IN_A_FILE or size + len(text) > TEXT_IN_A_FILE):
            yield "".join(texts)
            texts, size = [], 0
        texts.append(text)
        size += len(text)
    yield "".join(texts)


def _beside(collection: Collection, kind: str, record_id: str, stamp: str, record: dict[str, Any]) -> Aside:
    """A version beside the one in force, without the mark of how it came here: the receiver makes its own."""
    mark = mark_id(kind, record_id, stamp)
    on = collection.asides[mark].on if mark in collection.asides else datetime.date(1980, 1, 1)
    return Aside(aside=mark, of=Of(kind=kind, id=record_id, version=stamp), on=on, record=record)


def _zipped(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as packed:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.create_system = 3
            entry.external_attr = 0o100644 << 16
            packed.writestr(entry, data)
    return out.getvalue()


def chosen_keys(
    collection: Collection,
    *,
    component: str | None = None,
    day: datetime.date | None = None,
    known: Mapping[Key, Iterable[str]] | None = None,
) -> tuple[frozenset[Key], str]:
    """Which records go into a parcel, and what that is in words.

    Parameters
    ----------
    component : str, optional
        With everything its receiver needs.
    day : date, optional
        The news since then.
    known : mapping of key to versions, optional
        What an earlier parcel held: the news since that one. With none of the three, everything.
    """
    if component is not None:
        return for_component(collection, component), f"component {component}"
    if day is not None:
        return since(collection, day), f"news since {day.isoformat()}"
    if known is not None:
        asides = {(a.of.kind, a.of.id) for a in collection.asides.values()}
        return not_in(collection, known) | (asides & everything(collection)), "news since another parcel"
    waiting = {(a.of.kind, a.of.id) for a in collection.asides.values()}
    return everything(collection) | waiting, "everything"


def pictures_of(
    collection: Collection, keys: Iterable[Key], folder: Path
) -> tuple[dict[str, bytes], list[str]]:
    """The photographs and pages that components, pick points, joints and notes name, if by their content.

    A name made of the content's hash means the same picture in every shop, and no two shops' names clash.

    Parameters
    ----------
    folder : Path
        The collection's folder; a picture outside of it is not sent.

    Returns
    -------
    dict of name to bytes
    list of str
        What could not be sent, in sentences.
    """
    found: dict[str, bytes] = {}
    said: list[str] = []
    root = folder.resolve()
    for kind, record_id in sorted(keys):
        record = collection.of_kind(kind).get(record_id)
        names: list[str] = []
        if kind == "component" and record is not None:
            shown = [
                *record.pictures,
                *(one for point in listed(record.pick_points) for one in point.pictures),
            ]
            names = [picture.file for picture in shown]
        elif kind == "joint" and record is not None:
            names = [picture.file for picture in record.pictures]
        elif kind == "note" and record is not None and record.photo:
            names = [record.photo]
        for name in names:
            file = (folder / name).resolve()
            ending = PurePosixPath(name).suffix.lower()
            if not file.is_relative_to(root) or not file.is_file():
                said.append(f"{kind} {record_id}: the picture {name!r} is not in the collection's folder")
            elif ending not in PICTURE_ENDINGS:
                said.append(f"{kind} {record_id}: {name!r} is no picture of a kind that is sent")
            elif file.stat().st_size > MAX_PICTURE_BYTES:
                said.append(f"{kind} {record_id}: the picture {name!r} is larger than 25 MB")
            else:
                data = file.read_bytes()
                by_content = f"{PICTURES}/{hashlib.sha256(data).hexdigest()}{ending}"
                if name == by_content:
                    found[name] = data
                else:
                    said.append(
                        f"{kind} {record_id}: the picture {name!r} is not sent; name it {by_content!r}"
                    )
    return found, said
