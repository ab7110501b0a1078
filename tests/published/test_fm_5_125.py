"""US Army FM 5-125, Rigging Techniques, Procedures, and Applications: slings.

Symbols read in its glossary; the formula and the example are from memory.
"""

from __future__ import annotations

import pytest

from handling_db.rigging.leg_rules import equal_leg_tension


def test_eighteen_hundred_pounds_on_two_legs():
    assert equal_leg_tension(1800, legs=2, leg_length=8, height=6) == pytest.approx(1200)
