"""The roll-up against the program's own totals and against recursion in fractions, on two engines."""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.fleet.engine import Bounds, opened
from handling_db.fleet.record_rows import EVERY, build_text
from handling_db.records.collection import Collection
from handling_db.weights.compare import Judge
from tests.fleet.engines import SecondEngine, close, insert, lay, rolled
from tests.fleet.shops import STATES, Piece, as_records, depth, made_up, shown
from tests.from_text import SCALE, collection


@pytest.fixture
def duck() -> Iterator[Any]:
    with opened(Bounds()) as engine:
        yield engine


def compare_with_oracle(found: dict[Any, Any], shop: str, pieces: dict[str, Piece]) -> set[str]:
    """Every figure of a shop against recursion; the bases that came up."""
    seen = set()
    for code in pieces:
        for state in STATES:
            row = found.get((shop, code, "", state)) or found[shop, code, "", EVERY]
            best, low, high, complete, basis, height, unknown = row
            wanted = shown(pieces, code, state)
            seen.add(wanted.basis)
            where = (shop, code, state, row, wanted)
            assert bool(complete) is wanted.complete, where
            assert basis == wanted.basis, where
            assert height == depth(pieces, code), where
            assert Fraction(unknown) == wanted.unknown, where
            if not wanted.complete and wanted.high == 0:
                assert best is None, where
                assert low is None, where
                continue
            assert close(best, wanted.best), where
            assert Fraction(low) <= wanted.low, where
            assert Fraction(high) >= wanted.high, where
            assert wanted.low - Fraction(low) <= Fraction(1, 10**12) * wanted.high, where
            assert Fraction(high) - wanted.high <= Fraction(1, 10**12) * wanted.high, where
    return seen


@pytest.mark.slow
@given(st.integers(0, 2**32))
@settings(max_examples=30)
def test_any_shop_on_a_second_engine_is_recursion_in_fractions(seed: int) -> None:
    """The statements run unchanged on SQLite: plain enough for an engine that nobody here has tried."""
    pieces = made_up(random.Random(seed))
    engine = SecondEngine()
    lay(engine, {"quay": as_records(pieces)})
    _, _, found = rolled(engine)

    compare_with_oracle(found, "quay", pieces)


@pytest.mark.slow
def test_a_fleet_is_recursion_in_fractions_shop_by_shop(duck: Any) -> None:
    shops = {f"shop-{seed}": made_up(random.Random(seed), most=12) for seed in range(20)}
    lay(duck, {shop: as_records(pieces) for shop, pieces in shops.items()})
    _, decided, found = rolled(duck)

    seen = {basis for shop, pieces in shops.items() for basis in compare_with_oracle(found, shop, pieces)}
    assert seen == {
        "statement",
        "litres times density",
        "sum of parts",
        "whole, not from parts",
        "nobody knows",
    }
    assert decided > 0  # ties did come up


def compare_with_program(found: dict[Any, Any], shop: str, collection: Collection) -> int:
    """Every figure of a shop against the program's own totals, every build; how many there were."""
    judge = Judge(collection)
    compared = 0
    for state in STATES:
        totals = judge.totals(state)
        for node, (code, build) in enumerate(judge.tree.nodes):
            text = build_text(collection.components[code], build)
            row = found.get((shop, code, text, state)) or found[shop, code, text, EVERY]
            best, low, high, complete, basis, height, unknown = row
            total = totals.of(node)
            where = (shop, code, text, state, row, total.mass)
            assert bool(complete) is total.mass.complete, where
            assert basis == total.figure.basis.value, where
            assert height == judge.tree.height[node], where
            assert Fraction(unknown) == sum(pieces for _, pieces in total.unknown), where
            compared += 1
            if not total.mass.complete and total.mass.high == 0:
                assert best is None, where
                continue
            assert close(best, total.mass.best), where
            assert Fraction(low) <= total.mass.low, where
            assert Fraction(high) >= total.mass.high, where
    return compared


@pytest.mark.parametrize("engine", ["first", "second"])
def test_the_demo_is_what_the_program_says(engine: str, demo: Collection, duck: Any) -> None:
    used = duck if engine == "first" else SecondEngine()
    lay(used, {"quay": demo})
    _, _, found = rolled(used)

    assert compare_with_program(found, "quay", demo) > 250
    assert any(build for _, _, build, _ in found)  # sizes that are not the default ones are there


@pytest.mark.slow
def test_random_shops_are_what_the_program_says(duck: Any) -> None:
    shops = {f"s{seed}": as_records(made_up(random.Random(seed))) for seed in range(100, 108)}
    lay(duck, shops)
    _, _, found = rolled(duck)

    for shop, records in shops.items():
        assert compare_with_program(found, shop, records)


TIE = {
    "case": Piece("case", own=(Fraction("14.9"), Fraction("0.3"))),
    "pump": Piece("pump"),
    "unit": Piece(
        "unit",
        lines=[("case", Fraction(3)), ("pump", Fraction(1))],
        whole=(Fraction("43.3"), Fraction("0.5"), "dry"),
    ),
}


@pytest.mark.slow
def test_a_tie_is_decided_by_fractions_and_not_by_floats(duck: Any) -> None:
    """Three cases weigh at least 43.8 kg and the whole at most 43.8: it may stand, whatever floats make of it."""
    lay(duck, {"quay": as_records(TIE)})
    _, decided, found = rolled(duck)

    assert decided
    assert found["quay", "unit", "", EVERY][4] == "whole, not from parts"
    TIE["unit"].whole = (Fraction("43.2999"), Fraction("0.5"), "dry")
    try:
        with opened(Bounds()) as other:
            lay(other, {"quay": as_records(TIE)})
            assert rolled(other)[2]["quay", "unit", "", EVERY][4] == "sum of parts"
    finally:
        TIE["unit"].whole = (Fraction("43.3"), Fraction("0.5"), "dry")


def test_pieces_weighed_together_are_counted_over_the_whole(duck: Any) -> None:
    """Four wheels weighed together: two axles of two hold just these; three axles hold two more, which scatter."""
    wheel = Piece("wheel", own=(Fraction(84), Fraction(2)), together=4, scatter=Fraction("0.7"))
    axle = Piece("axle", lines=[("wheel", Fraction(2))])
    two = Piece("two", lines=[("axle", Fraction(2))])
    three = Piece("three", lines=[("axle", Fraction(3))])
    lay(duck, {"quay": as_records({piece.code: piece for piece in (wheel, axle, two, three)})})
    found = rolled(duck)[2]

    assert found["quay", "wheel", "", EVERY][:3] == pytest.approx((21, 19.8, 22.2))
    assert found["quay", "axle", "", EVERY][:3] == pytest.approx((42, 39.6, 44.4))
    assert found["quay", "two", "", EVERY][:3] == pytest.approx((84, 82, 86))
    assert found["quay", "three", "", EVERY][:3] == pytest.approx((126, 121.6, 130.4))


def chain(levels: int) -> dict[str, Piece]:
    pieces = {"p0": Piece("p0", own=(Fraction(1), Fraction("0.1")))}
    for level in range(1, levels):
        pieces[f"p{level}"] = Piece(f"p{level}", lines=[(f"p{level - 1}", Fraction(1))])
    return pieces


def test_a_deep_chain_and_many_paths() -> None:
    engine = SecondEngine()
    doubling = {"p0": Piece("p0", own=(Fraction(1), Fraction("0.1")))}
    for level in range(1, 40):  # 2^39 paths
        doubling[f"p{level}"] = Piece(f"p{level}", lines=[(f"p{level - 1}", Fraction(2))])
    lay(engine, {"deep": as_records(chain(120)), "doubling": as_records(doubling)})
    climbed, _, found = rolled(engine)

    assert climbed.levels == 119
    assert found["deep", "p119", "", EVERY][0] == 1
    assert found["doubling", "p39", "", EVERY][0] == 2.0**39


def test_rows_of_several_shops_do_not_mix(duck: Any) -> None:
    light = {
        "p0": Piece("p0", own=(Fraction(1), Fraction("0.1"))),
        "a0": Piece("a0", lines=[("p0", Fraction(2))]),
    }
    heavy = {
        "p0": Piece("p0", own=(Fraction(50), Fraction("0.1"))),
        "a0": Piece("a0", lines=[("p0", Fraction(2))]),
    }
    lay(duck, {"b-light": as_records(light), "a-heavy": as_records(heavy)})
    found = rolled(duck)[2]

    assert found["b-light", "a0", "", EVERY][0] == 2
    assert found["a-heavy", "a0", "", EVERY][0] == 100


def test_a_shop_without_any_mass(duck: Any) -> None:
    lay(duck, {"bare": as_records({"p0": Piece("p0"), "a0": Piece("a0", lines=[("p0", Fraction(3))])})})
    found = rolled(duck)[2]

    assert found["bare", "a0", "", EVERY] == (None, None, None, 0, "sum of parts", 1, 3.0)


def bare_row(shop: str, node: int, *, parted: bool) -> tuple[Any, ...]:
    return (
        shop,
        "x",
        node,
        f"c{node}",
        "",
        True,
        f"C{node}",
        "part",
        None,
        None,
        parted,
        False,
        0,
        None,
        None,
    )


RING = [(0, 1), (1, 2), (2, 0), (3, 0), (4, 5), (6, 7), (7, 6), (6, 5)]


@pytest.mark.parametrize("engine", ["first", "second"])
def test_rings_are_named_and_the_rest_is_added_up(engine: str, duck: Any) -> None:
    from handling_db.fleet.total import rings

    used = duck if engine == "first" else SecondEngine()
    lay(used, {})
    insert(used, "names", [bare_row("q", node, parted=node != 5) for node in range(8)])
    insert(used, "lines", [("q", "x", over, under, 1, 1.0, "1") for over, under in RING])
    insert(
        used,
        "masses",
        [("q", "x", 5, EVERY, 9.0, 8.5, 9.5, "9", "8.5", "9.5", "statement", "s", "k", "9 kg", None, None)],
    )
    climbed, _, found = rolled(used)

    assert climbed.left == 6
    assert [ring.components for ring in rings(used, climbed)] == [
        ("c0", "c1", "c2", "c0"),
        ("c6", "c7", "c6"),
    ]
    assert found["q", "c4", "", EVERY][:1] == (9.0,)
    for code in ("c0", "c3", "c6"):
        assert found["q", code, "", EVERY] == (None, None, None, 0, "contains itself", None, None)


FAMILY = """
- component: machine
  name: Machine
  kind: assembly
  parts listed: all
  parts:
    - {component: box, quantity: 1}
    - {component: box, quantity: 2, set: {discs: 10}}
    - {component: box, quantity: 1, set: {discs: 6, brake: no}}
- component: box
  name: Box
  kind: assembly
  parameters:
    discs: {default: 8, from: 4, to: 12, step: 1}
    brake: {default: yes, choices: [yes, no]}
  parts listed: all
  parts:
    - {component: disc, quantity: 2*discs}
    - {component: half-disc, quantity: discs/4}
    - {component: brake, quantity: 1, only when: brake == yes}
- {component: disc, name: Disc, kind: part, masses: [{printed: 1.3 kg, plus or minus: 0.01 kg, source: scale}]}
- {component: half-disc, name: Spacer, kind: part, masses: [{printed: 0.7 kg, plus or minus: 0.1 kg, source: scale}]}
- {component: brake, name: Brake, kind: part, masses: [{printed: 30 kg, step: 1 kg, source: book}]}
"""


@pytest.mark.parametrize("engine", ["first", "second"])
def test_every_build_has_its_own_total_and_a_line_that_cannot_be_read_is_not_nothing(
    engine: str, duck: Any
) -> None:
    """Ten discs need two and a half spacers: that line has no count, so the box and the machine are at least."""
    made = collection(SCALE + FAMILY)
    used = duck if engine == "first" else SecondEngine()
    lay(used, {"quay": made})
    _, _, found = rolled(used)

    compare_with_program(found, "quay", made)
    boxes = {build: row for (_, code, build, _), row in found.items() if code == "box"}
    assert len(boxes) == 3
    by_discs = {
        build.split("discs=")[1].split(";")[0]: (bool(row[3]), row[6]) for build, row in boxes.items()
    }
    whole, lost = by_discs["8"], by_discs["10"]
    assert whole == (True, 0)
    assert lost == (False, 1)
    assert found["quay", "machine", "", EVERY][3:7:3] == (0, 3)  # at least: two of ten discs, one of six
