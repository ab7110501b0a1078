"""The line at the top of a record file by which editors find its schema, so that they complete and check."""

from __future__ import annotations

from pathlib import Path

NAME = "record-file.schema.json"
_MARK = "# yaml-language-server:"
_UP = 6  # folders that are looked through upwards


def editor_line(file: Path) -> str:
    """The line for a file, with the way to the schema beside it or above; empty where there is none."""
    folder = file.resolve().parent
    way = ""
    for above in (folder, *folder.parents)[:_UP]:
        if (above / NAME).is_file():
            return f"{_MARK} $schema={way or './'}{NAME}\n"
        way += "../"
    return ""


def with_editor_line(file: Path, text: str) -> str:
    """A text with the line at its top, unless it has one already or there is no schema."""
    if text.lstrip("\ufeff").startswith(_MARK):
        return text
    return editor_line(file) + text
