"""What the address of a page asks, argument by argument."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handling_db.errors import HandlingError
from handling_db.web.ways import UNITS


def text_of(args: Any, name: str, longest: int = 200) -> str:
    """A text; empty where there is none."""
    return (args.get(name) or "").strip()[:longest]


def one_of(name: str, text: str, words: Sequence[str]) -> str:
    """A text that has to be one of some words.

    Raises
    ------
    HandlingError
        It is another one.
    """
    if text not in words:
        raise HandlingError(f"{name}={text!r} is not one of: {', '.join(words)}")
    return text


def unit_of(args: Any) -> str:
    """The unit that stands first; empty where none is asked for.

    Raises
    ------
    HandlingError
        Another word than kg or lb.
    """
    unit = text_of(args, "unit")
    return unit and one_of("unit", unit, UNITS)
