"""Capacity of a forklift by moment about the front axle, and the rule that a shorter load centre gives no
more.

Sources: an attachment supplier's worked example (its moment is the maker's figure) [verified: secondary]; a
page on forklift capacity based on JIS for the second [verified: secondary]. Neither is a standard's own
text.
"""

from __future__ import annotations

import pytest

from handling_db.carrying.plate import capacity_by_axle, moment_figures
from handling_db.moving.notices import told

LB, IN = 0.45359237, 0.0254


def test_supplier_example():
    """114 300 in-lb, 14.1 in from axle to fork face, load centre 48 in: printed 1 840 lb."""
    exact = capacity_by_axle(114_300, 14.1, 48)

    assert pytest.approx(exact, rel=0, abs=1.0) == 1840
    assert pytest.approx(exact, rel=0, abs=0.005) == 1840.58


def test_supplier_example_both_rules():
    """The same truck, 3 000 lb at 24 in: 1 500 lb by load centre beside it, lower first. [computed here]"""
    figures = moment_figures(
        rated_capacity_kg=3000 * LB,
        rated_load_centre=24 * IN,
        load_centre=48 * IN,
        axle_to_fork_face=14.1 * IN,
    )

    assert [name for name, _ in figures.figures] == ["by load centre", "by front axle"]
    assert pytest.approx([kg / LB for _, kg in figures.figures], rel=0, abs=0.005) == [1500.0, 1840.58]


@pytest.mark.parametrize("centre", [0.2, 0.4, 0.499, 0.5])
def test_shorter_load_centre_gives_no_more(centre):
    """If the load centre is not larger than rated, the rated capacity stands. [verified: secondary]"""
    figures = moment_figures(
        rated_capacity_kg=1500, rated_load_centre=0.5, load_centre=centre, axle_to_fork_face=0.38
    )

    assert figures.figures == (("by load centre", 1500), ("by front axle", 1500))
    assert "A shorter load centre does not raise the capacity: the rated figure stands." in told(
        figures.cautions
    )
