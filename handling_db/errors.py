"""Exceptions: for calls that cannot proceed. Faults in data are findings, not exceptions."""

from __future__ import annotations

from collections.abc import Iterable

_LISTED = 12  # names that a sentence lists in full


class HandlingError(Exception):
    """Something asked for cannot be done; the message says what and what to do instead."""


class UnitError(HandlingError, ValueError):
    """A text is not a quantity that can be read without guessing."""


class UnknownNameError(HandlingError, LookupError):
    """Nothing in the collection goes by that id, name or alias."""


class AmbiguousNameError(HandlingError, LookupError):
    """Several things go by that name; the caller has to choose."""

    def __init__(self, name: str, choices: tuple[tuple[str, str], ...]) -> None:
        self.name = name
        self.choices = choices
        listed = some_of((f"{code} ({title})" for code, title in choices), "; ")
        super().__init__(f"{name!r} fits several components: {listed}. Ask again with one of these ids.")


def some_of(names: Iterable[str], between: str = ", ") -> str:
    """Names one after the other: all of a few, of many the first and how many more; `none` without one."""
    known = list(names)
    more = f" and {len(known) - _LISTED:,} more" if len(known) > _LISTED + 1 else ""
    return (between.join(known[:_LISTED] if more else known) or "none") + more


def not_there(kind: str, code: str, known: Iterable[str]) -> str:
    """That nothing of a kind goes by an id, with the near one or some of those there are."""
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(code, names, 1)
    if near:
        return f"there is no {kind} {code!r}; did you mean {near[0]!r}?"
    return f"there is no {kind} {code!r}; there are: {some_of(names)}"
