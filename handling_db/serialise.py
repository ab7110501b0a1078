"""One answer for every face: its figures, the same in words, and the same as JSON."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from handling_db.classes import dataclass, field
from handling_db.sharing.marked import Marks, marks_together

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.weights.answer import WeightAnswer

Figures = TypeVar("Figures", covariant=True)


@dataclass(frozen=True, slots=True)
class Answer(Generic[Figures]):
    """What a question gives: figures, and the words and JSON made of them.

    Parameters
    ----------
    figures : frozen dataclass
        Every figure and name of the answer, in base units as its own class says.
    first_unit : str
        kg or lb: what the collection reads first, unless `words` is told otherwise.
    """

    figures: Figures
    first_unit: str
    _text: Callable[[Any, str], str] = field(repr=False, compare=False)
    _json: Callable[..., Any] = field(repr=False, compare=False)
    _json_has_words: bool = field(default=False, repr=False, compare=False)
    _marks: Callable[[], Marks] = field(default=Marks, repr=False, compare=False)

    @property
    def not_reviewed(self) -> tuple[str, ...]:
        """What it rests on that came from other shops and nobody here has reviewed, a sentence each."""
        return self._marks().not_reviewed

    @property
    def waiting(self) -> tuple[str, ...]:
        """What of other shops is about it and waits for review: it counts nowhere."""
        return self._marks().waiting

    def words(self, first: str | None = None, *, marked: bool = True) -> str:
        """The answer as lines of text, what must be said before any figure first; both units are shown.

        Parameters
        ----------
        first : str, optional
            ``kg`` or ``lb``; otherwise what the collection reads first.
        marked : bool
            Whether it starts with what came from other shops and nobody has reviewed. Leave it out only where
            that is said beside it.

        Raises
        ------
        ValueError
            Another unit.
        """
        if first not in (None, "kg", "lb"):
            raise ValueError(f"{first!r} is not one of: kg, lb")
        text = self._text(self.figures, first or self.first_unit)
        if (first or self.first_unit) == "lb":
            from handling_db.quantities.sentence import both_units

            text = both_units(text)  # what somebody wrote stays as written; pounds stand behind it
        return "\n".join((*self._marks().lines(), text)) if marked else text

    def to_json(self, first: str | None = None, *, marked: bool = True) -> Any:
        """The answer as values that `json.dumps` takes; what is not known is None, never 0.

        Parameters
        ----------
        first : str, optional
            ``kg`` or ``lb``: which comes first in sentences; figures are in the units that fields name.
        marked : bool
            Whether ``not_reviewed`` and ``waiting`` go along where they say anything.
        """
        named = {"first": first or self.first_unit} if self._json_has_words else {}
        value = self._json(self.figures, **named)
        return {**value, **self._marks().as_json()} if marked else value


def marked_by(collection: Collection, *about: tuple[str, str] | None) -> Callable[[], Marks]:
    """What marks an answer: looked for when it is first asked for, since most answers are never told twice.

    Parameters
    ----------
    collection : Collection
        With its asides and marks of origin.
    about : (kind, id) or None
        What the answer is about; None for everything.
    """

    def marks() -> Marks:
        from handling_db.sharing.marks import marks_about  # record models: a stored look-up needs none

        return marks_together(*(marks_about(collection, *(one or (None, None))) for one in about))

    return functools.cache(marks)


def told_weight(
    figures: WeightAnswer, first_unit: str, marks: Callable[[], Marks] = Marks
) -> Answer[WeightAnswer]:
    """A look-up, worked out or stored, with its words and JSON."""
    return Answer(figures, first_unit, _weight_text, _weight_json, _marks=marks)


def _weight_text(figures: WeightAnswer, first: str) -> str:
    from handling_db.lookup.weight_text import weight_text

    return weight_text(figures, first)


def _weight_json(figures: WeightAnswer) -> dict[str, Any]:
    from handling_db.lookup.as_json import WEIGHT  # not for words: a look-up starts fast

    return WEIGHT.write(figures)
