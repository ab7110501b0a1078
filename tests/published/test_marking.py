"""Marks on packages.

ILO Convention 27 (1929), Marking of Weight (Packages Transported by Vessels), Art. 1 [verified: treaty
text, two copies]; French Labour Code R4541-10 [verified: translation]; ISO 780 (2015) [names: six verified
on a packaging page, the others from memory; colour and one meaning each: UNECE text of the CTU Code].
"""

from __future__ import annotations

import pytest

from handling_db.carrying.marks import BESIDE_MARKS, gross_mark, handling_marks
from handling_db.moving.notices import told
from handling_db.quantities.notice import Notice


@pytest.mark.parametrize(
    ("gross", "word"),
    [
        (999.9, "no gross mark"),
        (1000, "gross mark"),  # "one thousand kilograms or more": the boundary is included
        (1000.1, "gross mark"),
    ],
)
@pytest.mark.parametrize("weighed", [True, False])
def test_thousand_kilograms_gross(gross, word, weighed):
    """From exactly 1 000 kg up, whether the figure is exact or a maximum."""
    mark = gross_mark(low_kg=gross, high_kg=gross, weighed=weighed)

    assert mark[0].kind == word
    assert (Notice("mark a maximum") in mark) != weighed


def test_a_maximum_may_be_marked():
    """Where the exact weight is hard to get a maximum is marked: an upper bound, not an estimate."""
    mark = gross_mark(low_kg=950, high_kg=1040, weighed=False)

    assert mark[0].kind == "gross mark maybe"
    assert "The figure is worked out, not weighed: mark it as a maximum." in told(mark)


def test_maximum_of_exactly_the_boundary_counts():
    """A maximum of 1 000 kg reaches the boundary."""
    assert gross_mark(low_kg=990, high_kg=1000, weighed=False)[0].kind == "gross mark maybe"


def test_names_read_and_names_from_memory_are_told_apart():
    """Six names were read; any other mark says that its name is from memory."""
    facts = (
        "this_way_up",
        "fragile",
        "keep_dry",
        "keep_from_heat",
        "hooks_do_harm",
        "sling_places_known",
        "centre_known",
        "rolls",
        "clamp_does_harm",
        "fork_side_barred",
        "hand_truck_does_harm",
    )

    marks = handling_marks(dict.fromkeys(facts, True), 300).marks

    assert {
        "this way up",
        "fragile",
        "keep dry",
        "keep away from heat",
        "use no hooks",
        "sling here",
    } == {mark.name for mark in marks if mark.name_from == "read"}
    assert {
        "centre of gravity",
        "do not roll",
        "do not clamp",
        "no fork-lift here",
        "no hand truck here",
        "stacking limit by mass",
    } == {mark.name for mark in marks if mark.name_from == "from memory"}


def test_sling_marks_show_where_not_how():
    """Equal slings hang level only if the marks are equally far from the centre of gravity. [verified]"""
    cautions = " ".join(told(BESIDE_MARKS))

    assert "shows where, not how" in cautions
    assert "equally far from the centre of gravity" in cautions
