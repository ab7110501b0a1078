"""A photograph or a page that a record names, kept beside the records."""

from __future__ import annotations

from handling_db.records.parts.texts import Line, Part


class Picture(Part):
    """A photograph or a page kept beside the records."""

    file: Line
    """name of the file beside the records"""
    caption: Line
    """what it shows"""
