"""Tables with something changed by chance: nothing falls over, and no mass comes out that nobody wrote.

A plain table of known masses is changed in one cell, or torn at bytes. A change of one cell may drop its own row, never
change another's mass; whatever is torn may be refused, but not by a trace.
"""

from __future__ import annotations

import csv
import io
import random
import tempfile
from collections import Counter
from fractions import Fraction
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.tables.read import HowRead, read_file
from tests.attacks import Counts

KG_OF = {
    "kg": Fraction(1),
    "lb": Fraction(45359237, 100_000_000),
    "g": Fraction(1, 1000),
    "t": Fraction(1000),
}
HEADS = (
    ["parent", "child", "quantity", "mass", "unit", "name", "state", "plus_minus"],
    ["Item", "Qty", "Wt each kg", "Next assy", "Remarks", "P/N"],
    ["Pos", "Benennung", "Stück", "Einzelgewicht kg", "Bemerkung"],
)
PUT = (
    "", " ", "nan", "inf", "1e400", "-1e400", "1e-400", "9" * 400, "0x10", "1_000", "٣", "½", "=1+1", "'=1+1", "\x00",
    "\x07", "\u202e", "\ud800"[:0], "a" * 5000, "TOTAL", "Summe", "EXAMPLE", "parent", "child", "12 ton", "12 kg ± 5 %",
    "± 5", "1,2,3", "1.2.3", "1.250", "12,5", "-", "?", "<<<<<<< x", "#", "1/0 lb", "1/64 lb", "100000000000000000000",
    "5 %", "kg", "lb", "EA", "wet", "trocken", '"', '""', "\n", "a\nb", ";", "\t", "2026-03-12", "Mar-12", "1.23E+11",
    "[1]", "{}", "&lt;", "../x", "1000000000", "0", "-0", "+5", "1e3", "0.1e-3",
)  # fmt: skip


def table(rng: random.Random) -> tuple[list[list[str]], int, dict[str, Fraction]]:
    """Rows of a plain table, the column of its masses, and what each piece weighs by name."""
    heads = rng.choice(HEADS)
    rows = [list(heads)]
    truth: dict[str, Fraction] = {}
    for number in range(rng.randrange(2, 9)):
        name, figure = f"piece {number}", f"{rng.randrange(1, 900)}.{rng.randrange(10, 99)}"
        truth[name] = Fraction(figure)
        if heads[0] == "parent":
            rows.append(["rig", name, "2", figure, "kg", name, "dry", "0.5"])
        elif heads[0] == "Item":
            rows.append([name, "2", figure, "Rig", "a; b", f"P-{number}"])
        else:
            rows.append([str(number + 1), name, "1", figure, ""])
    at = {"parent": 3, "Item": 2, "Pos": 3}[heads[0]]
    return rows, at, truth


def run(rng: random.Random, count: int) -> Counts:
    """Change and read so many tables."""
    counts: Counter[str] = Counter({"tracebacks": 0, "wrong in silence": 0})
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            seed = rng.getrandbits(64)
            path = (
                Path(folder) / f"table-{number}.csv"
            )  # a file written over waits for the disk on some systems
            told = _one(random.Random(seed), path, counts)
            path.unlink()
            if told and counts["shown"] < 20:
                counts["shown"] += 1
                print(f"table {seed}: {told}", flush=True)
    return counts


def _one(rng: random.Random, path: Path, counts: Counter[str]) -> str:
    rows, at, truth = table(rng)
    row, column = rng.randrange(1, len(rows)), rng.randrange(len(rows[0]))
    torn = rng.random() < 0.4
    changed = rows[row][column]
    if not torn:
        rows[row][column] = rng.choice(PUT)
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=rng.choice(",\t")).writerows(rows)
    data = bytearray(out.getvalue().encode(rng.choice(["utf-8", "utf-8", "utf-16", "cp1252"]), "replace"))
    if torn:
        for _ in range(rng.randrange(1, 6)):
            place = rng.randrange(len(data))
            if rng.random() < 0.5:
                data[place] = rng.randrange(256)
            else:
                del data[place : place + rng.randrange(1, 30)]
            if not data:
                break
    path.write_bytes(bytes(data))
    try:
        (reading,) = read_file(
            path, HowRead(rng.choice(["", "point", "point"]), row_by_row=rng.random() < 0.5)
        )
    except HandlingError:
        counts["refused"] += 1
        return ""
    except Exception as error:  # whatever it is, it must not happen
        counts["tracebacks"] += 1
        return f"{type(error).__name__}: {error}"
    if reading.table is None:
        counts["not taken"] += 1
        return ""
    counts["taken"] += 1
    if torn:
        return ""
    to = reading.table.statements
    for index, node in enumerate(to.node):
        name = reading.table.names[node]
        kg = Fraction(to.number[index]) * KG_OF.get(to.unit[index], Fraction(0))
        own = column == at or rows[row][column] in ("kg", "lb", "EA") or to.line[index] == row + 1
        if name in truth and kg != truth[name] and not own:
            counts["wrong in silence"] += 1
            return f"{name}: {to.printed(index)} for {truth[name]} after {changed!r} became {rows[row][column]!r}"
    return ""
