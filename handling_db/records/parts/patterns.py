"""The words that stand where nothing is known, and texts as the reader hands them over."""

from __future__ import annotations

from typing import Any, Literal

NOBODY_LOOKED = "nobody looked"
NONE: Literal["none"] = "none"


def plain_text(value: Any) -> str:
    """The value itself if it is a text.

    Raises
    ------
    ValueError
        It is a list, a mapping or nothing.
    """
    if not isinstance(value, str):
        kind = "nothing" if value is None else "a list or a mapping"
        raise ValueError(f"write a text here, not {kind}")
    return value


def serialise_or_none(value: Any) -> Any:
    """As written: None, a list, or a text."""
    if value is None or isinstance(value, list | tuple):
        return value if value is None else list(value)
    return str(value)
