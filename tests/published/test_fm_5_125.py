"""US Army FM 5-125, Rigging Techniques, Procedures, and Applications: slings.

Symbols read in its glossary; the formula and the example are from memory.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.legs import carry


def test_eighteen_hundred_pounds_on_two_legs():
    """Legs of 8 ft, the hook 6 ft over the points."""
    half = math.sqrt(8**2 - 6**2)
    case = carry({"a": (-half, 0.0, 0.0), "b": (half, 0.0, 0.0)}, (0.0, 0.0, 6.0), (0.0, 0.0, -1.0), 1800.0)
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([1200.0, 1200.0])
