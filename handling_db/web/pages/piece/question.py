"""What is asked of a component, read from an address: state, what is off, another build, unit order."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import parse_qs

from handling_db.database import queries
from handling_db.errors import HandlingError
from handling_db.web.pages.piece.facts import recorded_answer
from handling_db.weights.answer import WeightAnswer

MOST = 50
LONGEST = 600  # signs of the other question


@dataclass(frozen=True, slots=True)
class PieceQuestion:
    """One question about one component.

    Parameters
    ----------
    state : str, optional
        dry, drained or filled; all three where none is asked for.
    without : tuple of str
        Names or ids of what is off already.
    settings : tuple of (parameter, value text)
    unit : str, optional
        kg or lb: which stands first.
    build : str, optional
        A named build; settings come on top of it.
    beside : str
        Another question about the same component, as the text of an address; empty for none.
    """

    state: str | None = None
    without: tuple[str, ...] = ()
    settings: tuple[tuple[str, str], ...] = ()
    unit: str | None = None
    build: str | None = None
    beside: str = ""

    @classmethod
    def from_text(cls, text: str) -> PieceQuestion:
        """Read a question out of the text of an address, as `beside` holds it."""
        from datasette.utils import MultiParams

        return replace(cls.read(MultiParams(parse_qs(text[:LONGEST]))), beside="", unit=None)

    @classmethod
    def read(cls, args: Any) -> PieceQuestion:
        """Read the question from a request's arguments.

        ``state=dry``, ``without=parking-brake`` (repeatable), ``set=discs=12`` or ``set.discs=12``,
        ``build=long frame``, ``unit=lb``. Other arguments are passed over.
        """
        settings: list[tuple[str, str]] = []
        for text in args.getlist("set"):
            name, _, value = text.partition("=")
            settings.append((name.strip(), value.strip()))
        settings += [
            (key.removeprefix("set.").strip(), args[key].strip()) for key in args if key.startswith("set.")
        ]
        state = (args.get("state") or "").strip() or None
        unit = (args.get("unit") or "").strip() or None
        build = (args.get("build") or "").strip() or None
        without = tuple(text.strip() for text in args.getlist("without") if text.strip())
        beside = (args.get("beside") or "").strip()[:LONGEST]
        return cls(state, without[:MOST], tuple(settings[:MOST]), unit, build, beside)

    @property
    def is_plain(self) -> bool:
        """Whether it asks for nothing but what is stored."""
        return self.state is None and not self.without and not self.settings and self.build is None

    def pairs(self) -> list[tuple[str, str]]:
        """The question as arguments of an address, in a fixed order."""
        pairs = [("state", self.state)] if self.state else []
        pairs += [("without", name) for name in self.without]
        pairs += [("build", self.build)] if self.build else []
        pairs += [("set", f"{name}={value}") for name, value in self.settings]
        pairs += [("unit", self.unit)] if self.unit else []
        pairs += [("beside", self.beside)] if self.beside else []
        return pairs

    def answer(self, connection: sqlite3.Connection, code: str) -> WeightAnswer:
        """The stored answer, or one worked out for another build, state or with parts off.

        Raises
        ------
        HandlingError
            A state, unit, part or value that there is not.
        """
        self._refuse("state", self.state, ("dry", "drained", "filled"))
        self._refuse("unit", self.unit, ("kg", "lb"))
        if self.is_plain:
            return recorded_answer(connection, code)
        return queries.what_if(
            connection,
            code,
            given_texts=dict(self.settings),
            state=self.state,
            build=self.build,
            without=[queries.resolve(connection, name) for name in self.without],
        )

    @staticmethod
    def _refuse(name: str, value: str | None, words: Iterable[str]) -> None:
        if value is not None and value not in words:
            raise HandlingError(f"{name}={value!r} is not one of: {', '.join(words)}")
