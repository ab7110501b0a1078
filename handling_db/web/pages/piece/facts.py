"""What the file says of a piece whatever is asked about it, read once for all addresses of its page."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace

from handling_db.database import queries
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.handling import handled_in
from handling_db.database.queries.pictures import pictures_of
from handling_db.lookup.listings import FixtureFigure, ListedNote, PictureFigure, StoredFinding
from handling_db.web.site import today
from handling_db.weights.answer import WeightAnswer

KEPT = 256  # pieces

STORED_ENERGY = "stored energy"
_TO_CALL = "select who_to_call from shop where who_to_call <> '' order by code"


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """What is recorded about a piece beside its mass.

    Parameters
    ----------
    notes : tuple of ListedNote
        About it and what is in it, stored energy too; stale or not as of today.
    datum : str
        Origin and directions of its own frame; empty where nobody recorded them.
    handled : dict
        As `queries.handling.handled_in` has it.
    who_to_call : tuple of str
        Of every shop that names somebody.
    """

    notes: tuple[ListedNote, ...]
    fixtures: tuple[FixtureFigure, ...]
    findings: tuple[StoredFinding, ...]
    pictures: tuple[PictureFigure, ...]
    datum: str
    handled: Mapping[str, list[tuple[str, str]]]
    who_to_call: tuple[str, ...]

    @property
    def urgent(self) -> list[ListedNote]:
        """Notes on stored energy."""
        return [note for note in self.notes if note.kind == STORED_ENERGY]

    @property
    def others(self) -> list[ListedNote]:
        """Every other note."""
        return [note for note in self.notes if note.kind != STORED_ENERGY]


_facts: LastAnswers[PieceFacts] = LastAnswers(KEPT)
_answers: LastAnswers[WeightAnswer] = LastAnswers(KEPT)


def piece_facts(connection: sqlite3.Connection, code: str) -> PieceFacts:
    """What is recorded about a piece, kept by the stamp of the file and the day.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    day = today()
    return _facts.get((stamp_of(connection), code, day), lambda: _read(connection, code, day))


def recorded_answer(connection: sqlite3.Connection, code: str) -> WeightAnswer:
    """The stored look-up of a piece, kept by the stamp of the file.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    return _answers.get((stamp_of(connection), code), lambda: queries.stored_answer(connection, code))


def _read(connection: sqlite3.Connection, code: str, day: str) -> PieceFacts:
    notes = [
        note
        if note.stale == (bool(note.review_by) and note.review_by < day)
        else replace(note, stale=not note.stale)
        for note in queries.notes_for(connection, code=code)
    ]
    return PieceFacts(
        notes=tuple(notes),
        fixtures=tuple(queries.fixtures_for(connection, code)),
        findings=tuple(queries.findings_for(connection, code)),
        pictures=pictures_of(connection, code),
        datum=queries.datum(connection, code),
        handled=handled_in(connection, code),
        who_to_call=tuple(who for (who,) in connection.execute(_TO_CALL)),
    )
