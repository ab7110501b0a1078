"""Exceptions: for calls that cannot proceed. Faults in data are findings, not exceptions."""

from __future__ import annotations


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
        listed = "; ".join(f"{code} ({title})" for code, title in choices)
        super().__init__(f"{name!r} fits several components: {listed}. Ask again with one of these ids.")
