"""ISO 11228-1, Ergonomics, Manual handling, Part 1: Lifting, lowering and carrying (2003, 2021).

Scope [verified: scope]; reference masses [from memory]: kept for people to compare, marked, never used as a
limit.
"""

from __future__ import annotations

from pathlib import Path

import yaml

from handling_db.carrying import hands

DATA = yaml.safe_load((Path(__file__).parents[2] / "data" / "reference" / "hand-lifting.yml").read_text())


def test_scope_begins_at_three_kilograms():
    """Objects of 3 kg and more. [verified: scope]"""
    assert not hands.in_scope_of_iso_11228_1(2.99)
    assert hands.in_scope_of_iso_11228_1(3.0)
    assert DATA["scope"]["from kg"] == hands.ISO_11228_1_FROM_KG


def test_scope_as_read():
    """Walking 0.5 to 1.0 m/s, an 8 h day, up to 12 h in the 2021 edition. [verified: scope]"""
    scope = DATA["scope"]

    assert scope["walking speed m/s"] == [0.5, 1.0]
    assert (scope["working day h"], scope["working day of the 2021 edition h"]) == (8, 12)


def test_masses_from_memory_say_so():
    """Figures that nobody read carry that mark in the data."""
    masses = DATA["reference masses"]

    assert [row["mass"] for row in masses["rows"]] == [25, 20, 20, 15, 23]
    assert masses["verified"].startswith("from memory; not read, not used by the program")
