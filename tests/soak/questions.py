"""What the clients ask: what a shop asks most, now and then what takes long, and one in twenty something odd."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.attacks.requests import METHODS, address
from tests.soak.marker import UNIT

ODD = 0.05
MARKER = 0.05

# Address and how often, of a hundred; {c} a component, {p} a solid one, {l} a lift, {j} a joint, {n} a number nobody asked before.
MIX = (
    ("/component/{c}", 22),
    ("/component/{c}?n={n}", 14),  # at an address that nothing kept answers
    ("/component/{c}.json?n={n}", 10),
    ("/component/{c}?unit=lb&state=dry&n={n}", 5),
    ("/lift/{l}", 8),
    ("/lift/{l}?n={n}", 6),
    ("/lift/{l}/sheet", 2),
    ("/joint/{j}", 4),
    ("/move/{l}", 4),
    ("/find?q={w}", 8),
    ("/notes", 3),
    ("/", 4),
    ("/lifts", 2),
    ("/checker", 2),
    ("/gaps", 1),
    ("/hands/{p}", 2),
    ("/handling/component?_size=20", 2),
    ("/handling/note.json?_size=20", 1),
)
WORDS = ("oil", "brake", "cover", "31", "bolt", "spline", "xyzzy", "gear", "caliper", "plate")


class Questions:
    """Draws addresses about what a database file holds."""

    def __init__(self, file: Path, seed: int) -> None:
        with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as connection:
            self._codes: Mapping[str, Sequence[str]] = {
                "c": [row[0] for row in connection.execute("select code from component order by code")],
                "p": [
                    row[0]
                    for row in connection.execute(
                        "select code from component where kind <> 'fluid' order by code"
                    )
                ],
                "l": _records(connection, "lift group"),
                "j": _records(connection, "joint"),
                "w": WORDS,
            }
        self._chance = random.Random(seed)
        usable = [
            (path, weight)
            for path, weight in MIX
            if all(self._codes[k] for k in "cplj" if f"{{{k}}}" in path)
        ]
        self._paths, self._weights = zip(*usable, strict=True)

    def draw(self) -> tuple[str, str, str]:
        """Kind (marker, odd, or the address of the mix that it was made of), method and address."""
        chance = self._chance
        kind = chance.random()
        if kind < MARKER:
            return "marker", "GET", f"/component/{UNIT}.json"
        if kind < MARKER + ODD:
            return "odd", chance.choice(METHODS), address(chance)
        drawn = path = chance.choices(self._paths, self._weights)[0]
        for key, codes in self._codes.items():
            path = path.replace(f"{{{key}}}", chance.choice(codes)) if f"{{{key}}}" in path else path
        return drawn, "GET", path.replace("{n}", str(chance.randrange(10**9)))


def _records(connection: sqlite3.Connection, kind: str) -> list[str]:
    return [
        row[0] for row in connection.execute("select code from record where kind = ? order by code", (kind,))
    ]
