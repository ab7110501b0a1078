"""A row with a fault makes what it belongs to incomplete, and nothing else."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from handling_db.tables.sources import read_paths
from handling_db.weights.compare import Judge
from tests.reading import read_table

HEAD = "parent,child,quantity,mass kg,step\n"


def totals_of(path: Path, text: str) -> dict[str, tuple[float, bool]]:
    """By id, the total of every assembly and whether it is complete."""
    path.write_text(HEAD + text)
    judge = Judge(read_paths([path]).collection)
    totals = judge.totals("filled")
    found = {}
    for (code, _), node in judge.tree.start.items():
        if judge.collection.components[code].parts:
            total = totals.of(node)
            found[code] = (float(total.mass.best), total.mass.complete)
    return found


def test_the_other_half_is_still_compared(tmp_path: Path) -> None:
    found = totals_of(
        tmp_path / "t.csv", "rig,left,1,30,1\nrig,right,1,30,1\nleft,a,1,30,1\nright,b,1,-30,1\n"
    )

    assert found == {"rig": (30.0, False), "left": (30.0, True), "right": (0.0, False)}


@pytest.mark.parametrize(
    ("row", "opened"),
    [
        ("right,c,0,4,1\n", {"right"}),
        ("right,c,1,4,1,\n", {"right"}),
        ("right,c,1,much,1\n", {"right"}),
        ("right,,1,4,1\n", {"right"}),
        (",c,1,much,1\n", set()),
        ("ri\x07ght,c,1,4,1\n", None),
        ('"right"x,c,1,4,1\n', None),
        ('right,"c,1,4,1\n', None),
        (",c,1,4\n", None),
    ],
)
def test_which_lists_are_left_open(tmp_path: Path, row: str, opened: set[str] | None) -> None:
    """None: it cannot be told what the row belongs to, so it may be any assembly."""
    path = tmp_path / "t.csv"
    path.write_text(HEAD + "rig,left,1,,\nrig,right,1,,\nleft,a,1,3,1\nright,b,1,3,1\n" + row)
    table = read_table(path).table

    assert table is not None
    assert table.all_incomplete is (opened is None)
    assert {table.codes[node] for node in table.incomplete} == (opened or set())


@pytest.mark.parametrize("seed", range(15))
def test_complete_is_what_has_no_fault_below(tmp_path: Path, seed: int) -> None:
    """Random trees with random faults, against a walk over the rows as they were written."""
    chance = random.Random(seed)
    parent_of = {f"n{i}": f"n{chance.randrange(i)}" for i in range(1, 30)}
    lists = set(parent_of.values())
    bad = {code for code in parent_of if chance.random() < 0.08}
    rows = []
    for code, parent in parent_of.items():
        mass = "" if code in lists else str(chance.randrange(1, 90))
        quantity = chance.choice(["1", "2"])
        if code in bad:
            if chance.random() < 0.5 or not mass:
                quantity = "0"
            else:
                mass = "-3"
        rows.append(f"{parent},{code},{quantity},{mass},{'1' if mass else ''}\n")
    found = totals_of(tmp_path / "t.csv", "".join(rows))

    touched = set()
    for code in bad:
        while code in parent_of:
            code = parent_of[code]
            touched.add(code)
    for code, (_, complete) in found.items():
        # A row whose count cannot be read is no part line, so what hangs on it goes with it.
        assert complete is (code not in touched), code
