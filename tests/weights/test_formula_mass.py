"""Shapes and places in builds: what is kept of one component never answers for another."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.families.build import build_of
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.material import Material
from handling_db.records.kinds.source import SourceKind
from handling_db.weights.formula_mass import worked_mass
from handling_db.weights.tree import worked_places

KIND = SourceKind.model_validate(
    {"source kind": "any", "name": "any", "rank": "1", "percent": "5", "basis": "for a test"}
)


def bar(length: int) -> Component:
    """A round bar of 100 mm, its length a parameter, and a line at its far end."""
    fields: dict[str, Any] = {
        "component": "bar",
        "name": "Bar",
        "kind": "assembly",
        "parameters": {"long": {"unit": "mm", "default": f"{length} mm", "from": "1 mm", "to": "900 mm"}},
        "masses": [
            {
                "source": "drawing",
                "shape": {"cylinder": {"diameter": "100 mm", "length": "long"}, "density": "steel"},
            }
        ],
        "parts": [{"component": "cap", "quantity": "1", "at": ["long", "0 mm", "0 mm"]}],
    }
    return Component.model_validate(fields)


def steel(density: str) -> dict[str, Material]:
    return {
        "steel": Material.model_validate(
            {"material": "steel", "name": "Steel", "density": density, "basis": "for a test"}
        )
    }


@given(
    st.lists(
        st.tuples(st.integers(1, 900), st.integers(1, 900), st.sampled_from(["7.8 kg/L", "2.7 kg/L"])),
        min_size=1,
        max_size=15,
    )
)
def test_each_bar_weighs_what_its_own_length_and_material_say(several: list[tuple[int, int, str]]) -> None:
    for default, other, density in several:
        one, material = bar(default), steel(density)
        for length, values in ((default, {}), (other, {"long": Fraction(other, 1000)}), (default, {})):
            build = build_of(one, values)
            found = worked_mass(one.masses[0], one, dict(build), KIND, material)
            litres = math.pi * 0.5**2 * length / 100  # in dm
            assert float(found.best) == pytest.approx(litres * float(density.split()[0]), rel=1e-6, abs=1e-3)
            (place,) = worked_places(one.parts[0], one, build)
            assert place.at == pytest.approx((length / 1000, 0, 0))
