"""Which notes hold a word, as the file keeps it, so that a search need not go through the notes.

A list of notes is their numbers one after another, four bytes each with the lowest first; or, where that is
shorter, one bit for each note of the file.
"""

from __future__ import annotations

import re
import sys
from array import array
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain

_WORD = re.compile(r"[^\W_]+")
_BITS = 64  # are looked at together
_LOOKS = 16  # numbers of a list are gone along in the time in which one is looked up


def small(text: str) -> str:
    """A text in small letters; sign for sign, as the index of words has them."""
    return text.lower().replace("ς", "σ")


def spelled(text: str) -> list[str]:
    """The words of a text in small letters as they are written there, with all their endings."""
    return _WORD.findall(small(text))


def words_in(text: str) -> Iterator[re.Match[str]]:
    """The words of a text in small letters with their places."""
    return _WORD.finditer(text)


def packed(notes: Sequence[int], most: int) -> bytes:
    """A list of notes in rising order, of a file whose highest number is known."""
    long = (most // _BITS + 1) * _BITS // 8
    if 4 * len(notes) <= long:
        return _lowest_first(array("I", notes)).tobytes()
    bits = bytearray(long)
    for note in notes:
        bits[note >> 3] |= 1 << (note & 7)
    return bytes(bits)


def held_by_many(notes: int, held: bytes) -> bool:
    """Whether a list of so many notes has a bit for each note of the file."""
    return len(held) < 4 * notes


class NoteList:
    """Notes that hold one of some words.

    Parameters
    ----------
    lists : sequence of (int, bytes)
        How many notes hold each of the words, and which.
    """

    __slots__ = ("_bits", "_numbers", "most")

    def __init__(self, lists: Sequence[tuple[int, bytes]]) -> None:
        self.most = 0  # a note with two of the words counts twice
        self._numbers: list[array[int]] = []
        self._bits: list[bytes] = []
        for notes, held in lists:
            self.most += notes
            if held_by_many(notes, held):
                self._bits.append(held)
            else:
                self._numbers.append(_numbers(held))

    @property
    def many(self) -> bool:
        """Whether very many notes hold one of the words."""
        return bool(self._bits)

    @property
    def notes(self) -> int:
        """How many notes there are."""
        if len(self._numbers) + len(self._bits) == 1:
            return self.most
        return self._as_bits().bit_count() if self._bits else len(set().union(*self._numbers))

    def among(self, notes: Collection[int]) -> list[int]:
        """Those of some notes that are here, in rising order."""
        wanted = set(notes)
        found: set[int] = set()
        for numbers in self._numbers:
            if len(wanted) * _LOOKS < len(numbers):
                found.update(note for note in wanted if _stands_in(numbers, note))
            else:
                found |= wanted.intersection(numbers)
        for bits in self._bits:
            found.update(note for note in wanted if bits[note >> 3] >> (note & 7) & 1)
        return sorted(found)

    @staticmethod
    def all_of(several: Iterable[NoteList]) -> Iterator[int]:
        """Notes that are in every one of some lists, in rising order; one at least."""
        rarest, *others = sorted(several, key=lambda one: one.most)
        if not rarest._bits:
            left: Collection[int] = rarest._numbers[0] if len(rarest._numbers) == 1 else rarest._joined()
            for other in others:
                left = other.among(left)
            return iter(left)
        both = rarest._as_bits()
        for other in others:
            both &= other._as_bits()
        return _rising(both)

    def _joined(self) -> list[int]:
        return sorted(set().union(*self._numbers))

    def _as_bits(self) -> int:
        """One number with a bit for each note."""
        found = 0
        for bits in self._bits:
            found |= int.from_bytes(bits, "little")
        if self._numbers:
            last = max(numbers[-1] for numbers in self._numbers)
            others = bytearray(last // 8 + 1)
            for note in chain(*self._numbers):
                others[note >> 3] |= 1 << (note & 7)
            found |= int.from_bytes(others, "little")
        return found


def _stands_in(numbers: array[int], note: int) -> bool:
    at = bisect_left(numbers, note)
    return at < len(numbers) and numbers[at] == note


def _numbers(held: bytes) -> array[int]:
    found = array("I")
    found.frombytes(held)
    return _lowest_first(found)


def _lowest_first(numbers: array[int]) -> array[int]:
    """From the order of bytes in the file to that of this machine, or back."""
    if sys.byteorder == "big":  # pragma: no cover
        numbers.byteswap()
    return numbers


def _rising(bits: int) -> Iterator[int]:
    """The places of the bits that are set."""
    long = (bits.bit_length() // _BITS + 1) * _BITS // 8
    words = array("Q")
    words.frombytes(bits.to_bytes(long, sys.byteorder))
    if sys.byteorder == "big":  # pragma: no cover
        words.reverse()
    for at, word in enumerate(words):
        while word:
            lowest = word & -word
            yield at * _BITS + lowest.bit_length() - 1
            word ^= lowest
