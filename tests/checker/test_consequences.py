"""A disagreement that only follows from others further down is marked and comes after them."""

from __future__ import annotations

import itertools
import random
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.checker import check
from handling_db.checker.consequences import Apart, _reached_first, consequences
from handling_db.database import build
from handling_db.findings import Finding, Verdict
from handling_db.tables.sources import read_paths

HEAD = "parent,child,quantity,mass kg,step,boundary\n"
SEEN = (
    ",rig,,100,1,as listed\nrig,left,1,50,1,as listed\nrig,right,1,50,1,as listed\n"
    "left,a,1,40,1,\nright,b,1,70,1,\n"
)


def disagreements(path: Path, text: str) -> list[Finding]:
    """What the records of a table have to say of sums that disagree, in order."""
    path.write_text(HEAD + text)
    found = check(read_paths([path]).collection)
    return [f for f in found if f.rule == "parts-sum" and f.verdict is Verdict.DISAGREES]


def of_columns(monkeypatch: pytest.MonkeyPatch, path: Path, text: str) -> list[Finding]:
    """The same, with the table added up by whole columns."""
    path.write_text(HEAD + text)
    monkeypatch.setattr(build, "RECORD_ROWS", 0)
    found = build.build_database([], path.with_suffix(".db"), tables=[path]).findings
    return [f for f in found if f.rule == "parts-sum" and f.verdict is Verdict.DISAGREES]


def test_two_causes_together(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for found in (disagreements(tmp_path / "t.csv", SEEN), of_columns(monkeypatch, tmp_path / "t.csv", SEEN)):
        assert [(f.about, f.because_of) for f in found] == [
            ("left", ()),
            ("right", ()),
            ("rig", ("left", "right")),
        ]
        assert found[-1].as_json()["because_of"] == ["left", "right"]
        assert "because of left and right, which together disagree by as much" in found[-1].sentence


def test_a_whole_that_is_wrong_by_itself_is_a_cause(tmp_path: Path) -> None:
    found = disagreements(tmp_path / "t.csv", SEEN.replace(",rig,,100,", ",rig,,300,"))

    assert [(f.about, f.because_of) for f in found] == [("left", ()), ("right", ()), ("rig", ())]


@pytest.mark.parametrize("seed", range(20))
def test_random_trees_with_errors_that_tell_themselves_apart(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, seed: int
) -> None:
    """Every assembly has a stated whole; parts and wholes are then falsified by amounts of 2^k x 100 kg.

    No two sets of such errors come to the same, so it is known which disagreements follow from others: the
    stated whole is right, and every part that is wrong lies in an assembly below that disagrees by just that.
    """
    chance = random.Random(seed)
    parent = {n: chance.randrange(max(0, n // 3 - 1), max(1, n // 2)) for n in range(1, 16)}
    parent[1] = 0
    children: dict[int, list[int]] = {}
    for child, over in parent.items():
        children.setdefault(over, []).append(child)
    leaves = [n for n in range(16) if n not in children]
    mass = {n: 10.0 + n for n in leaves}

    def total(node: int) -> float:
        return mass[node] if node in mass else sum(total(child) for child in children[node])

    stated = {node: total(node) for node in children}
    wrong = chance.sample(range(1, 16), k=chance.randrange(1, 4))
    error = {node: 100.0 * 2**k for k, node in enumerate(wrong)}
    for node in wrong:
        (mass if node in mass else stated)[node] += error[node]

    def errors_in(node: int) -> frozenset[int]:
        """The parts that are wrong inside."""
        below = [node] if node in mass else []
        stack = [*children.get(node, ())]
        while stack:
            here = stack.pop()
            below.append(here)
            stack += children.get(here, ())
        return frozenset(n for n in below if n in mass and n in error)

    signature = {n: (errors_in(n), n in error) for n in children}
    apart = {n for n in children if signature[n][0] or signature[n][1]}
    expected = {}
    for node in apart:
        inner, own = signature[node]
        below = [n for n in apart if n != node and errors_in(n) <= inner and _inside(parent, n, node)]
        clean = [errors_in(n) for n in below if not signature[n][1]]
        expected[f"n{node}"] = not own and any(
            frozenset().union(*some) == inner and sum(map(len, some)) == len(inner)
            for many in range(1, 4)
            for some in itertools.combinations(clean, many)
        )
    rows = [f",n0,,{stated[0]},0.1,as listed\n"]
    rows += [
        f"n{over},n{n},1,{(mass | stated)[n]},0.1,{'as listed' if n in children else ''}\n"
        for n, over in parent.items()
    ]
    for found in (
        disagreements(tmp_path / "t.csv", "".join(rows)),
        of_columns(monkeypatch, tmp_path / "t.csv", "".join(rows)),
    ):
        assert {f.about: bool(f.because_of) for f in found} == expected
        marked = [bool(f.because_of) for f in found]
        assert marked == sorted(marked)
        for finding in found:
            assert all(_inside(parent, int(c[1:]), int(finding.about[1:])) for c in finding.because_of)


def _inside(parent: dict[int, int], node: int, above: int) -> bool:
    while node in parent:
        node = parent[node]
        if node == above:
            return True
    return False


@pytest.mark.parametrize("seed", range(30))
def test_pieces_outside_of_the_others_against_every_way_down(seed: int) -> None:
    """On shared graphs, by going down every single way and stopping at the first of the chosen nodes."""
    chance = random.Random(seed)
    lines = [(a, b, chance.randrange(1, 4)) for b in range(1, 9) for a in range(b) if chance.random() < 0.4]
    below: dict[int, list[tuple[int, int]]] = {}
    for over, under, number in lines:
        below.setdefault(over, []).append((under, number))

    def ways(node: int, stop: frozenset[int]) -> dict[int, int]:
        found: dict[int, int] = {}
        for child, number in below.get(node, ()):
            found[child] = found.get(child, 0) + number
            if child not in stop:
                for deeper, many in ways(child, stop).items():
                    found[deeper] = found.get(deeper, 0) + number * many
        return found

    pieces = {node: {n: Fraction(k) for n, k in ways(node, frozenset()).items()} for node in range(9)}
    inside = sorted(pieces[0])
    for many in range(1, 4):
        for some in itertools.combinations(inside, many):
            expected = ways(0, frozenset(some))
            assert _reached_first(0, some, pieces) == [expected.get(node, 0) for node in some]


def test_many_below_are_tried_one_by_one_and_the_deepest_together() -> None:
    gap = (Fraction(9), Fraction(11))
    apart = {n: Apart(n, 20 - n, f"n{n}", (gap[0] * 3**n, gap[1] * 3**n), complete=True) for n in range(20)}
    apart[99] = Apart(99, 30, "top", (gap[0] * 3**7, gap[1] * 3**7), complete=True)
    pieces = {99: {n: Fraction(1) for n in range(20)}}

    assert consequences(apart, pieces) == {99: (7,)}
