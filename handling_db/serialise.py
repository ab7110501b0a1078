"""One answer for every face: its figures, the same in words, and the same as JSON."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

if TYPE_CHECKING:
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

    def words(self, first: str | None = None) -> str:
        """The answer as lines of text, what must be said before any figure first; both units are shown.

        Parameters
        ----------
        first : str, optional
            ``kg`` or ``lb``; otherwise what the collection reads first.

        Raises
        ------
        ValueError
            Another unit.
        """
        if first not in (None, "kg", "lb"):
            raise ValueError(f"{first!r} is not one of: kg, lb")
        return self._text(self.figures, first or self.first_unit)

    def to_json(self, first: str | None = None) -> Any:
        """The answer as values that `json.dumps` takes; what is not known is None, never 0.

        Parameters
        ----------
        first : str, optional
            ``kg`` or ``lb``: which comes first in sentences; figures are in the units that fields name.
        """
        if self._json_has_words:
            return self._json(self.figures, first=first or self.first_unit)
        return self._json(self.figures)


def told_weight(figures: WeightAnswer, first_unit: str) -> Answer[WeightAnswer]:
    """A look-up, worked out or stored, with its words and JSON."""
    from handling_db.lookup.as_json import weight_json
    from handling_db.lookup.weight_text import weight_text

    return Answer(figures, first_unit, weight_text, weight_json)
