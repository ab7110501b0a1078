"""What people type into a search: a few words, the last of them often only begun; common ones and rare ones."""

from __future__ import annotations

import random
from collections.abc import Collection, Sequence

_LETTERS = "eeeeeeettttaaaaooooiiinnnsssrrrhhhlldddccuummffppggwwyybbvk"  # about as often as in prose


def vocabulary(chance: random.Random, count: int) -> tuple[list[str], list[float]]:
    """Made-up words of two to fourteen letters, and how often each is used: the n-th by one in n."""
    words: dict[str, None] = {}
    while len(words) < count:
        long = min(chance.randrange(2, 15), chance.randrange(2, 15))
        word = "".join(chance.choices(_LETTERS, k=long))
        words[word + chance.choice("aokpwbv")] = None  # no ending of English, so no stem but itself
    return list(words), [1 / (place + 3) for place in range(count)]


def drawn(chance: random.Random, texts: Sequence[str], common: Collection[str] = ()) -> str:
    """One to four neighbouring words of a text without the common ones, the last begun with 1 to 14 letters."""
    words: list[str] = []
    while not words:
        words = [word for word in chance.choice(texts).split() if word not in common]
    many = min(chance.randrange(1, 5), len(words))
    start = chance.randrange(len(words) - many + 1)
    *some, last = words[start : start + many]
    return " ".join([*some, last[: chance.randrange(1, 15)]])
