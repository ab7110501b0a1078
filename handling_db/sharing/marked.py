"""Sentences that mark an answer: what nobody reviewed, and what waits. No record models here."""

from __future__ import annotations

from handling_db.classes import dataclass

SHOWN = 8  # lines; the rest is counted


@dataclass(frozen=True, slots=True)
class Marks:
    """Sentences to stand beside an answer.

    Parameters
    ----------
    not_reviewed : tuple of str
        In force, and rested on.
    waiting : tuple of str
        About what was asked, and not in force: it is in no sum, and may only lift plans.
    """

    not_reviewed: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()

    def lines(self) -> tuple[str, ...]:
        """As they are printed, the first few of each and how many more."""
        return tuple(f"! {sentence}" for sentence in self.sentences())

    def sentences(self, most: int = SHOWN) -> tuple[str, ...]:
        """The first few of each and how many more, as a page has them.

        Parameters
        ----------
        most : int
            How many of each.
        """
        return (*_few(self.not_reviewed, most), *_few(self.waiting, most))

    def brief(self) -> tuple[str, ...]:
        """One line of each, for a card that has no room for more."""
        return tuple(
            several[0] + (f" (and {len(several) - 1} more)" if several[1:] else "")
            for several in (self.not_reviewed, self.waiting)
            if several
        )

    def as_json(self) -> dict[str, list[str]]:
        """By ``not_reviewed`` and ``waiting``, where they say anything."""
        told = {"not_reviewed": list(self.not_reviewed), "waiting": list(self.waiting)}
        return {word: sentences for word, sentences in told.items() if sentences}


def marks_together(*several: Marks) -> Marks:
    """The marks of an answer about several things, each sentence once."""
    return Marks(
        tuple(dict.fromkeys(one for marks in several for one in marks.not_reviewed)),
        tuple(dict.fromkeys(one for marks in several for one in marks.waiting)),
    )


def _few(sentences: tuple[str, ...], most: int) -> tuple[str, ...]:
    if len(sentences) <= most:
        return sentences
    return (*sentences[:most], f"and {len(sentences) - most} more: handling-db parcel review")
