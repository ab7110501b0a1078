"""Adding one observation to a collection's folder: checked by the reader before it is written."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.atomic import only_one, replace_file, write_file
from handling_db.files.pictures import MAX_PICTURE_BYTES, PICTURE_ENDINGS, PICTURES
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.findings import Finding
from handling_db.records.collection import Collection

_FOLDER_OF = {"weighing": "weighings", "note": "notes", "source": "sources"}


class NotARecordError(HandlingError):
    """What was given makes no record; the findings say why."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        super().__init__("\n".join(f"{f.field}: {f.sentence} {f.remedy}".strip() for f in findings))


def add_record(folder: Path, own: Collection, kind: str, record_id: str, fields: Mapping[str, Any]) -> Path:
    """Write one new observation.

    Parameters
    ----------
    folder : Path
    own : Collection
        What is there, to see that what it names is there too.
    kind : str
        ``weighing``, ``note`` or ``source``.
    record_id : str
    fields : mapping
        As they are written; None for what was not given.

    Returns
    -------
    Path
        The new file.

    Raises
    ------
    NotARecordError
        The reader refuses it, or it names something that is not there.
    """
    plain = {kind: record_id, **{key: value for key, value in fields.items() if value not in (None, "", [])}}
    text = dump_text([plain])
    reading = read_texts([("new record", text)])
    if reading.findings:
        raise NotARecordError(reading.findings)
    record: Any = reading.collection.of_kind(kind)[record_id]
    missing = [
        f"{field}: there is no {named} {code!r} here"
        for field, named, code in _names(kind, record)
        if code is not None and code not in own.of_kind(named)
    ]
    if missing:
        raise HandlingError("; ".join(missing))
    target = folder / _FOLDER_OF[kind] / f"{record_id}.yml"
    with only_one(folder):
        write_file(target, text.encode())
    return target


def _names(kind: str, record: Any) -> list[tuple[str, str, str | None]]:
    """Field, kind and id of what an observation names; ties and pick points stand inside other records."""
    if kind == "weighing":
        return [
            ("of", "component", record.of),
            ("source", "source", record.source),
            ("replaces", "weighing", record.replaces),
        ]
    if kind == "note":
        about = record.about
        named = [("about", about.kind, about.id)] if about.kind not in ("tie", "pick point") else []
        return [
            *named,
            ("source", "source", record.source),
            ("shop", "shop", record.shop),
            ("replaces", "note", record.replaces),
        ]
    return [("kind", "source kind", record.kind)]


def keep_picture(folder: Path, picture: Path) -> str:
    """Copy a photograph or a page beside the records, under a name made of its content.

    Returns
    -------
    str
        The name to write into a record.

    Raises
    ------
    HandlingError
        It is no picture of a kind that is kept, too large, or cannot be read.
    """
    ending = picture.suffix.lower()
    if ending not in PICTURE_ENDINGS:
        raise HandlingError(f"{picture}: a picture ends in one of: {', '.join(PICTURE_ENDINGS)}")
    try:
        if picture.stat().st_size > MAX_PICTURE_BYTES:
            raise HandlingError(
                f"{picture}: larger than {MAX_PICTURE_BYTES // 1_000_000} MB; make it smaller"
            )
        data = picture.read_bytes()
    except OSError as error:
        raise HandlingError(f"{picture}: cannot be read ({error.strerror or error})") from None
    name = f"{PICTURES}/{hashlib.sha256(data).hexdigest()}{ending}"
    if not (folder / name).exists():
        replace_file(folder / name, data)
    return name
