"""Photographs and pages that components, pick points, joints and notes name, put into the file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
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


def picture_rows(rows: RowsByTable, collection: Collection, paths: Sequence[Path]) -> str:
    """Gather pictures and where they are named; each content once, under its own hash.

    Parameters
    ----------
    rows : RowsByTable
    collection : Collection
    paths : sequence of Path
        The folders that were read; a picture outside of them is not taken.

    Returns
    -------
    str
        Hash over all that was taken in, for the stamp; empty where there is none.
    """
    taken: dict[str, tuple[str, bytes]] = {}
    whole = hashlib.sha256()

    def take(about: str, file: str) -> str | None:
        found = _content(file, paths)
        if found is None:
            return None
        kind, data = found
        name = f"{hashlib.sha256(data).hexdigest()}{Path(file).suffix.lower()}"
        taken[name] = (kind, data)
        whole.update(f"{about}\0{name}\n".encode())
        return name

    for component, file, caption in _named(collection):
        name = take(component, file)
        key = rows.id("component", component)
        position = sum(row[0] == key for row in rows.rows.get("component_picture", ()))
        rows.add("component_picture", key, position, name, file, caption)
    for kind, place, within, pictures in _of_places(collection):
        for position, one in enumerate(pictures):
            name = take(f"{kind} {within}/{place}", one.file)
            key = rows.id("component", within)
            rows.add("place_picture", kind, place, key, position, name, one.file, one.caption)
    for code, note in sorted(collection.notes.items()):
        if note.photo:
            rows.add("note_picture", code, take(code, note.photo), note.photo, f"{note.kind}: {note.text}")
    for name, (kind, data) in sorted(taken.items()):
        rows.add("picture", name, kind, data)
    return whole.hexdigest() if taken else ""


def _named(collection: Collection) -> Iterator[tuple[str, str, str]]:
    """Component, file and caption of every picture, those of notes about a component included."""
    for code, component in sorted(collection.components.items()):
        for picture in component.pictures:
            yield code, picture.file, picture.caption
    for _, note in sorted(collection.notes.items()):
        if note.photo and note.about.component in collection.components:
            yield str(note.about.component), note.photo, f"{note.kind}: {note.text}"


def _of_places(collection: Collection) -> Iterator[tuple[str, str, str, Sequence[Picture]]]:
    """Kind, id, component and pictures of every pick point and joint that has some."""
    for code, component in sorted(collection.components.items()):
        for point in listed(component.pick_points):
            if point.pictures:
                yield "pick point", point.id, code, point.pictures
    for code, joint in sorted(collection.joints.items()):
        if joint.pictures:
            yield "joint", code, joint.within, joint.pictures


def _content(file: str, paths: Iterable[Path]) -> tuple[str, bytes] | None:
    """Content type and bytes of a picture; None where it is not there or not what its name says."""
    kind, start = KINDS.get(Path(file).suffix.lower(), ("", b""))
    if not kind:
        return None
    for path in paths:
        root = (path if path.is_dir() else path.parent).resolve()
        for folder in (root, *sorted((root / "taken").glob("*/"))):
            there = (folder / file).resolve()
            if not there.is_relative_to(root) or not there.is_file():
                continue
            if there.stat().st_size > MAX_PICTURE_BYTES:
                continue
            data = there.read_bytes()
            if data.startswith(start):
                return kind, data
    return None
