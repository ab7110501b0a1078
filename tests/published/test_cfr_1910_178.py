"""29 CFR 1910.178, Powered industrial trucks (OSHA), Appendix A, A-5: load moment of forklifts.

Marks: how far each figure was checked against the text.
"""

from __future__ import annotations

import pytest

from handling_db.carrying.plate import moment_figures

LB, IN = 0.45359237, 0.0254

# rated lb, rated in, load centre in, printed lb, half the last printed digit, mark
CASES = [
    (3000, 24, 30, 2400, 0.5, "verified: text of Appendix A read in a copy"),
    (5000, 24, 30, 4000, 0.5, "verified: secondary, the same rule in training material"),
    (6000, 24, 30, 4800, 0.5, "verified: secondary, the same rule in training material"),
    (4000, 24, 36, 2666.6, 0.1, "verified: secondary; it cuts 2666.67 instead of rounding it"),
]


@pytest.mark.parametrize(("rated", "at", "centre", "printed", "tolerance", "mark"), CASES)
def test_load_moment_examples(rated, at, centre, printed, tolerance, mark):
    """Rated capacity times rated load centre, divided by the actual load centre."""
    figures = moment_figures(rated_capacity_kg=rated * LB, rated_load_centre=at * IN, load_centre=centre * IN)

    assert printed == pytest.approx(figures.by_load_centre_kg / LB, rel=0, abs=tolerance)


def test_load_moment_is_the_lower_figure():
    """The text says the load-centre moment always gives a lower moment than design. [verified: text read]"""
    figures = moment_figures(
        rated_capacity_kg=3000 * LB,
        rated_load_centre=24 * IN,
        load_centre=30 * IN,
        axle_to_fork_face=14.1 * IN,
    )

    assert figures.figures[0][0] == "by load centre"
    assert figures.by_axle_kg is not None
    assert figures.by_load_centre_kg < figures.by_axle_kg
