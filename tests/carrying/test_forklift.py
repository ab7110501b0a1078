"""Forklifts: load centre from both sides, plate rows, moment figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError, NotRecordedError
from handling_db.carrying.demand import Demand
from handling_db.carrying.fork_entry import Forks, entry
from handling_db.carrying.forklift import TruckPlate, truck_figures
from handling_db.carrying.plate import PlateRow, moment_figures, plate_row
from handling_db.moving.notices import told

PALLET = (1.2, 0.8)
LENGTHS = st.floats(min_value=0.05, max_value=3.0)
CAPACITIES = st.floats(min_value=100, max_value=30000)


def test_load_centre_and_offset_of_all_four_sides():
    """Centre 100 mm toward +x and 50 mm toward +y; x, y, z right-handed, z up."""
    got = {
        side: (round(one.load_centre, 6), round(one.sideways, 6))
        for side in ("low x", "high x", "low y", "high y")
        for one in [entry(side, footprint=PALLET, centre=(0.1, 0.05), patch=(0, 0), forks=Forks())]
    }

    assert got == {
        "low x": (0.7, -0.05),  # driving toward +x has +y on the left
        "high x": (0.5, 0.05),
        "low y": (0.45, 0.1),  # driving toward +y has +x on the right
        "high y": (0.35, -0.1),
    }


def test_patch_and_stand_off_add_to_the_load_centre():
    one = entry("low x", footprint=PALLET, centre=(0, 0), patch=(0.02, 0.01), forks=Forks(), stand_off=0.05)

    assert (pytest.approx(one.load_centre), pytest.approx(one.load_centre_high)) == (0.65, 0.67)
    assert pytest.approx(one.sideways_high) == 0.01


@pytest.mark.parametrize(
    ("y", "patch", "rated", "word"),
    [
        (0.05, (0, 0.01), 1500, "not substantial"),
        (0.095, (0, 0.01), 1500, "may be substantial"),
        (0.12, (0, 0.01), 1500, "substantial"),
        (0.12, (0, 0.01), 6000, "not substantial"),
        (0.05, None, 1500, "not known"),
        (0.12, None, 1500, "substantial"),
        (0.12, (0, 0), None, "not known"),
    ],
)
def test_offset_words(y, patch, rated, word):
    one = entry("low x", footprint=PALLET, centre=(0, y), patch=patch, forks=Forks(rated_capacity_kg=rated))

    assert word == one.offset_word


def test_unknown_patch_forks_and_rating_are_said():
    said = told(entry("low x", footprint=PALLET, centre=(0, 0), patch=None, forks=Forks()).cautions)

    assert said == [
        "The doubt of the centre of gravity is not recorded: these are single points.",
        "The rated capacity is not recorded: no published offset limit can be chosen.",
        "The fork length is not recorded: whether it reaches under the centre is not known.",
        "The fork spread is not recorded: whether the centre lies between is not known.",
    ]


def test_forks_that_do_not_reach_or_span_the_centre():
    forks = Forks(length=0.9, spread=0.4)
    said = told(entry("low x", footprint=PALLET, centre=(0.3, 0.2), patch=(0.01, 0.01), forks=forks).cautions)

    assert "The centre of gravity, at up to 910 mm, is not over the forks: they are 900 mm long." in said
    assert (
        "The centre of gravity may lie outside the forks: up to 210 mm sideways with the forks 400 mm apart."
        in said
    )


def test_forks_short_of_the_far_side():
    forks = Forks(length=0.9)
    said = told(entry("low x", footprint=PALLET, centre=(0, 0), patch=(0, 0), forks=forks).cautions)

    assert "The forks end 300 mm short of the far side." in said


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"side": "left"}, "'left' is no entry side: write one of low x, high x, low y, high y."),
        ({"footprint": (0, 0.8)}, "the footprint along x is 0; it has to be above zero: give it in metres."),
        (
            {"centre": (-0.7, 0)},
            "Entering from the low x side the centre of gravity would lie behind the fork face; "
            "check the footprint "
            "and the centre: both are taken from the middle of the footprint, in metres.",
        ),
        (
            {"patch": (-0.1, 0)},
            "the doubt of the centre of gravity along x is -0.1; it has to be zero or more: give "
            "a half-width in "
            "metres.",
        ),
        (
            {"centre": (None, 0)},
            "the centre of gravity along x is not recorded: give it in metres from the middle. "
            "Nothing is assumed "
            "in its place.",
        ),
    ],
)
def test_entry_errors(change, message):
    values = {
        "side": "low x",
        "footprint": PALLET,
        "centre": (0, 0),
        "patch": (0, 0),
        "forks": Forks(),
        **change,
    }
    with pytest.raises(MovingInputError) as error:
        entry(values.pop("side"), **values)

    assert message == str(error.value)


ROWS = [
    PlateRow(load_centre=0.5, height=3.0, capacity_kg=1500),
    PlateRow(load_centre=0.5, height=4.5, capacity_kg=1200),
    PlateRow(load_centre=0.6, height=3.0, capacity_kg=1300),
    PlateRow(load_centre=0.6, height=4.5, capacity_kg=1050),
    PlateRow(load_centre=1.5, height=3.0, capacity_kg=450, attachment="jib"),
]
ROWS_AND_RATING = TruckPlate(rows=ROWS, rated_capacity_kg=1500, rated_load_centre=0.5)


@pytest.mark.parametrize(
    ("centre", "height", "capacity"),
    [
        (0.5, 3.0, 1500),  # on the row
        (0.3, 0.2, 1500),  # shorter and lower: still that row, no more
        (0.501, 3.0, 1300),  # next larger load centre, nothing in between
        (0.5, 3.001, 1200),  # next larger height
        (0.55, 4.0, 1050),
        (0.601, 1.0, None),
        (0.5, 4.6, None),
    ],
)
def test_plate_row_next_larger(centre, height, capacity):
    row, said = plate_row(ROWS, load_centre=centre, lift_height=height)

    assert capacity == (None if row is None else row.capacity_kg)
    assert (row is None) == bool(said)


def test_no_row_says_how_far_the_plate_goes():
    assert told(plate_row(ROWS, load_centre=0.7, lift_height=1)[1]) == [
        "No data-plate row for forks alone reaches a load centre of 700 mm: the farthest is 600 mm."
    ]
    assert told(plate_row(ROWS, load_centre=0.5, lift_height=5)[1]) == [
        "No data-plate row for forks alone at 500 mm or more reaches a lift of 5000 mm: the highest is 4500 mm."
    ]


def test_attachment_only_by_its_own_rows():
    assert plate_row(ROWS, load_centre=1.2, lift_height=1, attachment="jib")[0].capacity_kg == 450
    row, said = plate_row(ROWS, load_centre=0.5, lift_height=1, attachment="clamp")

    assert (row, told(said)) == (None, ["No data-plate row is recorded for clamp."])


def test_lift_height_not_recorded_takes_the_lowest_capacity():
    row, said = plate_row(ROWS, load_centre=0.5, lift_height=None)

    assert row.capacity_kg == 1200
    assert told(said)[0] == "The lift height is not recorded: the lowest capacity of any height is shown."


def test_row_without_a_height_is_said_and_never_goes_past_stated_heights():
    bare = [PlateRow(load_centre=0.5, height=None, capacity_kg=1500)]
    row, said = plate_row(bare, load_centre=0.5, lift_height=3)

    assert (
        row.capacity_kg,
        told(said)[0],
    ) == (1500, "The plate row as recorded states no height: read it on the plate itself.")
    assert plate_row([*ROWS, *bare], load_centre=0.5, lift_height=5)[0] is None


def test_rows_that_cross_give_the_lowest():
    rows = [
        PlateRow(load_centre=0.5, height=6.0, capacity_kg=900),
        PlateRow(load_centre=0.6, height=4.0, capacity_kg=1200),
    ]
    row, said = plate_row(rows, load_centre=0.45, lift_height=3.5)

    assert row.capacity_kg == 900
    assert told(said)[0] == "Several plate rows cover this load; the lowest capacity of them is shown."


@given(
    rows=st.lists(
        st.builds(PlateRow, load_centre=LENGTHS, height=LENGTHS | st.none(), capacity_kg=CAPACITIES),
        max_size=6,
    ),
    centre=LENGTHS,
    height=LENGTHS | st.none(),
)
def test_a_plate_row_always_covers_the_load(rows, centre, height):
    row, _ = plate_row(rows, load_centre=centre, lift_height=height)

    if row is not None:
        assert row in rows
        assert row.load_centre >= centre
        assert height is None or row.height is None or row.height >= height


@given(capacity=CAPACITIES, rated=LENGTHS, centre=LENGTHS, axle=st.floats(min_value=0, max_value=2))
def test_moment_figures_lower_first_and_never_above_rated(capacity, rated, centre, axle):
    figures = moment_figures(
        rated_capacity_kg=capacity, rated_load_centre=rated, load_centre=centre, axle_to_fork_face=axle
    )

    values = [kg for _, kg in figures.figures]
    assert values == sorted(values)
    assert max(values) <= capacity
    assert figures.by_load_centre_kg <= figures.by_axle_kg * (1 + 1e-12)
    assert figures.lowest_kg == values[0]


def test_moment_figures_without_the_axle_distance():
    figures = moment_figures(rated_capacity_kg=1500, rated_load_centre=0.5, load_centre=0.6)

    assert figures.by_axle_kg is None
    assert "The distance from front axle to fork face is not recorded: one rule of moment only." in told(
        figures.cautions
    )
    assert "they are not a capacity" in told(figures.cautions)[-1]


@pytest.mark.parametrize("name", ["rated_capacity_kg", "rated_load_centre", "load_centre"])
def test_moment_figures_need_their_figures(name):
    values = {"rated_capacity_kg": 1500, "rated_load_centre": 0.5, "load_centre": 0.6, name: None}
    with pytest.raises(NotRecordedError, match=r"is not recorded: give .* Nothing is assumed in its place\."):
        moment_figures(**values)


LOAD = Demand(name="parted half", low_kg=408, high_kg=414.4)


def test_truck_with_plate_rows_gives_the_row_and_no_moment():
    got = truck_figures(LOAD, ROWS_AND_RATING, load_centre=0.55, lift_height=1)

    assert got.moment is None
    assert [(one.what, one.rating_kg, one.word) for one in got.beside] == [
        ("plate row at 600 mm, 3000 mm", 1300, "below")
    ]


def test_truck_whose_rows_do_not_reach_is_not_known():
    got = truck_figures(LOAD, ROWS_AND_RATING, load_centre=0.9, lift_height=1)

    assert (got.row, got.moment) == (None, None)
    assert [one.word for one in got.beside] == ["not known"]


def test_truck_with_nothing_recorded_is_not_known():
    got = truck_figures(LOAD, TruckPlate(), load_centre=0.6, lift_height=None)

    assert [one.word for one in got.beside] == ["not known"]
    assert "Rated capacity or rated load centre is not recorded: no figure to show." in told(got.cautions)


def test_jib_without_its_own_rows_is_compared_with_nothing():
    got = truck_figures(
        LOAD,
        TruckPlate(rated_capacity_kg=1500, rated_load_centre=0.5, axle_to_fork_face=0.38),
        load_centre=1.5,
        lift_height=1,
        attachment="jib",
        attachment_kg=60,
    )

    assert [(one.what, one.rating_kg, one.word) for one in got.beside] == [
        ("forklift with jib", None, "not known")
    ]
    assert got.moment is not None
    assert any(
        "the attachment takes at least its own 60 kg (132 lb) from it." in one for one in told(got.cautions)
    )


def test_plate_row_above_the_rated_capacity_is_questioned():
    got = truck_figures(LOAD, TruckPlate(rows=ROWS, rated_capacity_kg=1400), load_centre=0.5, lift_height=1)

    assert (
        "Plate row 1500 kg (3307 lb), above the rated 1400 kg (3086 lb): one of them is recorded wrongly; read the plate."
        in told(got.cautions)
    )
