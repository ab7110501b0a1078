"""A thing to be said, as its kind and the facts it rests on; the sentence is made last, in the reader's unit.

A calculation returns notices and decides by their kind and facts. Nobody looks into a sentence to decide.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

Fact: TypeAlias = "str | int | float | bool | tuple[str, ...] | Notice | tuple[Notice, ...] | None"
Facts: TypeAlias = "dict[str, Fact]"


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to be said.

    Parameters
    ----------
    kind : str
        What is said; the table of a subject gives each kind its place in the order and its words.
    facts : mapping of str to Fact
        What the words need. A name ends in its unit where the fact has one: ``_kg``, ``_m``, ``_deg``,
        ``_n``, ``_nm``, ``_share``. None: not known. A notice among them is said inside the sentence.
    source : str
        Who says so, where it is more than a comparison of figures: a published source or "common practice,
        no source".
    """

    kind: str
    facts: Mapping[str, Fact] = field(default_factory=dict)
    source: str = ""

    def __hash__(self) -> int:
        return hash((self.kind, tuple(sorted(self.facts.items(), key=lambda item: item[0])), self.source))


def once(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """The same without repetitions, in the order they came."""
    return tuple(dict.fromkeys(notices))


def facts_told(notice: Notice, tell: Callable[[Notice], str]) -> Mapping[str, Fact]:
    """The facts with words in place of the notices among them."""

    def words(fact: Fact) -> Fact:
        if isinstance(fact, tuple):
            return tuple(tell(one) if isinstance(one, Notice) else one for one in fact)
        return tell(fact) if isinstance(fact, Notice) else fact

    return {name: words(fact) for name, fact in notice.facts.items()}


def refused(error: Exception) -> Notice:
    """Why something is not worked out: a refusal has words of its own."""
    return Notice("not worked out", {"why": str(error)})
