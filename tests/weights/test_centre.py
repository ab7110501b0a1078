"""Centres of gravity through placements: known, partly known, not known."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.records.parts.common import Turned
from handling_db.weights.centre import Centre, between_supports, centres, rotation
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold
from tests.from_text import SCALE, collection


def centre(text: str, code: str = "unit") -> Centre:
    found = collection(SCALE + text)
    tree = unfold(found)
    return centres(Totals(found, tree, "dry"))[tree.start[(code, ())]]


PARTS = """
- {component: ball, name: ball, kind: part, masses: [{printed: 10 kg, source: scale}]}
- component: arm
  name: arm
  kind: part
  centre: [100 mm, 0 mm, 0 mm]
  masses: [{printed: 30 kg, source: scale}]
- {component: lost, name: lost, kind: part, masses: [{printed: 1 kg, source: scale}]}
- {component: blank, name: blank, kind: part}
"""


def assembly(lines: str, listed: str = "all") -> str:
    head = f"- component: unit\n  name: unit\n  kind: assembly\n  parts listed: {listed}\n  parts:\n"
    return f"{PARTS}\n{head}{lines}"


def test_own_centre_and_datum() -> None:
    found = centre(
        assembly(
            "    - {component: ball, quantity: 1, at: [0 mm, 0 mm, 400 mm]}\n"
            "    - {component: arm, quantity: 1, at: [0 mm, 0 mm, 0 mm]}\n"
        )
    )
    assert found.at == pytest.approx((0.075, 0.0, 0.1))
    assert not found.known_part_only


def test_turned_child_turns_its_centre() -> None:
    found = centre(
        assembly("    - {component: arm, quantity: 1, at: [0 mm, 0 mm, 0 mm], turned: {yaw: 90 deg}}\n")
    )
    assert found.at == pytest.approx((0.0, 0.1, 0.0))


def test_a_missing_place_is_not_the_origin() -> None:
    found = centre(
        assembly(
            "    - {component: ball, quantity: 1, at: [0 mm, 0 mm, 400 mm]}\n"
            "    - {component: lost, quantity: 1}\n"
        )
    )
    assert found.at is None
    assert found.no_place == ("lost",)


def test_unknown_mass_leaves_the_centre_of_the_known_part() -> None:
    found = centre(
        assembly(
            "    - {component: ball, quantity: 1, at: [0 mm, 0 mm, 400 mm]}\n"
            "    - {component: blank, quantity: 1, at: [0 mm, 0 mm, 0 mm]}\n"
        )
    )
    assert found.at == pytest.approx((0.0, 0.0, 0.4))
    assert found.known_part_only


def test_several_with_one_place_sit_at_their_centroid() -> None:
    found = centre(
        assembly(
            "    - {component: ball, quantity: 3, at: [0 mm, 0 mm, 400 mm]}\n"
            "    - {component: arm, quantity: 1, at: [-100 mm, 0 mm, 0 mm]}\n"
        )
    )
    assert found.at == pytest.approx((0.0, 0.0, 0.2))


def test_list_of_places() -> None:
    found = centre(
        assembly(
            "    - component: arm\n      quantity: 2\n      places:\n"
            "        - {at: [0 mm, 0 mm, 0 mm]}\n"
            "        - {at: [0 mm, 0 mm, 0 mm], turned: {yaw: 180 deg}}\n"
        )
    )
    assert found.at == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)


def angle() -> st.SearchStrategy[float]:
    return st.floats(-180, 180, allow_nan=False)


@given(angle(), angle(), angle())
def test_rotation_is_roll_then_pitch_then_yaw_about_fixed_axes(roll: float, pitch: float, yaw: float) -> None:
    turned = Turned.model_validate(
        {"roll": f"{roll:.6f} deg", "pitch": f"{pitch:.6f} deg", "yaw": f"{yaw:.6f} deg"}
    )
    ours = rotation(turned)

    def about(axis: int, degrees: float) -> list[list[float]]:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        i, j = [(1, 2), (2, 0), (0, 1)][axis]
        out = [[float(r == k) for k in range(3)] for r in range(3)]
        out[i][i], out[i][j], out[j][i], out[j][j] = c, -s, s, c
        return out

    def dot(a: list[list[float]], b: list[list[float]]) -> list[list[float]]:
        return [[sum(a[r][k] * b[k][c] for k in range(3)) for c in range(3)] for r in range(3)]

    product = dot(about(2, round(yaw, 6)), dot(about(1, round(pitch, 6)), about(0, round(roll, 6))))
    for row in range(3):
        assert ours[row] == pytest.approx(product[row], abs=1e-7)


def test_between_supports_by_moments() -> None:
    assert between_supports(Fraction(60), Fraction(40), Fraction(1)) == Fraction(2, 5)
