"""Photographs and pages that components, pick points, joints and notes name, put into the file."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from handling_db.database.rows import RowsByTable
from handling_db.files.pictures import MAX_PICTURE_BYTES
from handling_db.records.collection import Collection
from handling_db.records.parts.picture import Picture
from handling_db.records.parts.three_valued import listed

# Ending, content type, and how the content must begin: a name alone proves nothing.
KINDS: dict[str, tuple[str, bytes]] = {
    ".jpg": ("image/jpeg", b"\xff\xd8\xff"),
    ".jpeg": ("image/jpeg", b"\xff\xd8\xff"),
    ".png": ("image/png", b"\x89PNG\r\n\x1a\n"),
    ".webp": ("image/webp", b"RIFF"),
    ".pdf": ("application/pdf", b"%PDF-"),
}


@dataclass(frozen=True, slots=True)
class PictureNamed:
    """One place where a record names a picture.

    Parameters
    ----------
    part : int
        0: a component's own; 1: of a note about a component, for its page; 2: of a pick point or a joint;
        3: of a note, for the note.
    kind, owner : str
        The record that names it.
    about : str
        What it shows, as the stamp counts it.
    name : str or None
        Of its content in the database; None where it is not there or not what its name says.
    place : (kind, id, component id), optional
        The pick point or joint, and the component it is on or within.
    """

    part: int
    kind: str
    owner: str
    about: str
    file: str
    caption: str
    name: str | None = None
    place: tuple[str, str, str] = ("", "", "")


def picture_rows(
    rows: RowsByTable, collection: Collection, paths: Sequence[Path]
) -> tuple[PictureNamed, ...]:
    """Gather pictures and where they are named; each content once, under its own hash.

    Parameters
    ----------
    rows : RowsByTable
    collection : Collection
    paths : sequence of Path
        The folders that were read; a picture outside of them is not taken.

    Returns
    -------
    tuple of PictureNamed
        In the order in which they go into the stamp.
    """
    taken: dict[str, tuple[str, bytes]] = {}
    known: dict[str, str | None] = {}  # one file may be named in several places

    def take(file: str) -> str | None:
        if file not in known:
            found = _content(file, paths)
            known[file] = None
            if found is not None:
                known[file] = f"{hashlib.sha256(found[1]).hexdigest()}{Path(file).suffix.lower()}"
                taken[str(known[file])] = found
        return known[file]

    named = tuple(replace(one, name=take(one.file)) for one in _named(collection))
    positions: Counter[str] = Counter()
    for one in named:
        told = (one.name, one.file, one.caption)
        if one.part == 3:
            rows.add("note_picture", one.owner, *told)
            continue
        where = f"component {one.about}" if one.part < 2 else one.about
        position = positions[where]
        positions[where] += 1
        if one.part == 2:
            kind, place, within = one.place
            rows.add("place_picture", kind, place, rows.id("component", within), position, *told)
        else:
            rows.add("component_picture", rows.id("component", one.about), position, *told)
    for name, (kind, data) in sorted(taken.items()):
        rows.add("picture", name, kind, data)
    return named


def pictures_hash(named: Iterable[PictureNamed]) -> str:
    """Hash over all that was taken in, for the stamp; empty where there is none."""
    whole = hashlib.sha256()
    there = False
    for one in named:
        if one.name is not None:
            there = True
            whole.update(f"{one.about}\0{one.name}\n".encode())
    return whole.hexdigest() if there else ""


def _named(collection: Collection) -> Iterator[PictureNamed]:
    """Every place where a picture is named, part by part and by the id of what names it."""
    for code, component in sorted(collection.components.items()):
        for picture in component.pictures:
            yield PictureNamed(0, "component", code, code, picture.file, picture.caption)
    notes = [note for _, note in sorted(collection.notes.items()) if note.photo]
    for note in notes:
        if note.about.component in collection.components:
            about, told = str(note.about.component), f"{note.kind}: {note.text}"
            yield PictureNamed(1, "note", note.id, about, str(note.photo), told)
    yield from _of_places(collection)
    for note in notes:
        yield PictureNamed(3, "note", note.id, note.id, str(note.photo), f"{note.kind}: {note.text}")


def _of_places(collection: Collection) -> Iterator[PictureNamed]:
    """Of every pick point and joint."""
    for code, component in sorted(collection.components.items()):
        for point in listed(component.pick_points):
            place = ("pick point", point.id, code)
            yield from (_at(place, "component", code, picture) for picture in point.pictures)
    for code, joint in sorted(collection.joints.items()):
        place = ("joint", code, joint.within)
        yield from (_at(place, "joint", code, picture) for picture in joint.pictures)


def _at(place: tuple[str, str, str], kind: str, owner: str, picture: Picture) -> PictureNamed:
    about = f"{place[0]} {place[2]}/{place[1]}"
    return PictureNamed(2, kind, owner, about, picture.file, picture.caption, None, place)


def picture_files(file: str, paths: Iterable[Path]) -> Iterator[Path]:
    """The files that a picture may be, in the order in which they are taken; none outside what was read."""
    if Path(file).suffix.lower() not in KINDS:
        return
    for path in paths:
        root = (path if path.is_dir() else path.parent).resolve()
        for folder in (root, *sorted((root / "taken").glob("*/"))):
            there = (folder / file).resolve()
            if there.is_relative_to(root) and there.is_file() and there.stat().st_size <= MAX_PICTURE_BYTES:
                yield there


def _content(file: str, paths: Iterable[Path]) -> tuple[str, bytes] | None:
    """Content type and bytes of a picture; None where it is not there or not what its name says."""
    for there in picture_files(file, paths):
        kind, start = KINDS[Path(file).suffix.lower()]
        data = there.read_bytes()
        if data.startswith(start):
            return kind, data
    return None
