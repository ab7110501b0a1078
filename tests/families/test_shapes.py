"""Shapes: closed forms, what cannot exist, factors and doubt. Meshes are compared in tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.families import shape_kinds as kinds
from handling_db.families.shape_figures import ShapeError, as_density, as_range
from handling_db.families.shapes import together, weigh, without
from handling_db.mechanics.solids import bent_round, revolved

STEEL = 7850


def involute_area(teeth, module, steps=20000):
    """Area of a gear of the basic rack: 20 deg, addendum 1.0, dedendum 1.25, radial below the base circle.

    The thickness at radius r is 2 r (pi / (2 z) + inv(20 deg) - inv(angle at r)), from any book on gearing.
    """
    pitch, pressure = module * teeth / 2, math.radians(20)
    base = pitch * math.cos(pressure)
    low, high = pitch - 1.25 * module, pitch + module

    def involute(angle):
        return math.tan(angle) - angle

    area, step = math.pi * low**2, (high - low) / steps
    for i in range(steps):
        r = low + (i + 0.5) * step
        at = math.acos(min(1.0, base / r))
        half = math.pi / (2 * teeth) + involute(pressure) - involute(at)
        area += teeth * 2 * max(half, 0) * r * step
    return area


@pytest.mark.parametrize("teeth", [17, 24, 36, 44, 100])
def test_gear_as_pitch_disc_is_within_its_stated_doubt(teeth):
    """An involute gear is somewhat lighter than its pitch disc, by less than the 5 % that is stated."""
    disc = kinds.gear(teeth=teeth, module=0.006, width=1.0)
    real = involute_area(teeth, 0.006)

    assert real < disc.volume
    assert disc.least_doubt == 0.05
    assert disc.volume * (1 - disc.least_doubt) < real
    assert "pitch diameter" in disc.remarks[0]


def test_gear_cannot_be_claimed_better_than_its_approximation():
    mass = weigh(kinds.gear(teeth=36, module=0.006, width=0.07), STEEL, half_width=0.01)

    assert mass.half_width == 0.05
    assert mass.low == pytest.approx(0.95 * mass.best)


def test_bolt_against_a_thread_cut_all_along():
    """M16 x 2: round of the mean of pitch and minor diameter (ISO 724, from memory) under the same head."""
    bolt = kinds.bolt(thread=0.016, length=0.070)
    threaded = bolt.volume - math.pi / 4 * 0.070 * (0.016**2 - (0.014701**2 + 0.013835**2) / 2)

    assert bolt.volume * (1 - bolt.least_doubt) < threaded < bolt.volume
    assert bolt.remarks == (kinds.BOLT_REMARK,)
    assert bolt.solid.low[0] == pytest.approx(-0.65 * 0.016)


def test_doubt_of_the_kind():
    bar = kinds.cylinder(diameter=0.1, length=1.0)
    machined, cast = weigh(bar, STEEL), weigh(bar, STEEL, made="casting")

    assert (machined.low / machined.best, machined.high / machined.best) == pytest.approx((0.95, 1.05))
    assert (cast.low / cast.best, cast.high / cast.best) == pytest.approx((0.75, 1.25))
    assert weigh(bar, STEEL, made="casting", half_width=0.1).high == pytest.approx(1.1 * cast.best)


def test_worst_case_over_density_fill_and_kind():
    bar = kinds.cylinder(diameter=0.1, length=1.0).filled([0.6, 0.8]).allowed(1.5)
    mass = weigh(bar, [7000, 7400], half_width=0.1)
    volume = math.pi / 400

    assert mass.best == pytest.approx(7200 * 0.7 * 1.5 * volume)
    assert mass.low == pytest.approx(7000 * 0.6 * 1.5 * 0.9 * volume)
    assert mass.high == pytest.approx(7400 * 0.8 * 1.5 * 1.1 * volume)
    assert mass.volume == pytest.approx(volume)


def test_a_cut_takes_the_same_density_and_fill():
    body = kinds.cylinder(diameter=0.1, length=1.0).filled([0.6, 0.8]).made_of([7000, 7400])
    mass = weigh(without(body, kinds.cylinder(diameter=0.05, length=1.0)), half_width=0)
    volume = math.pi / 400 * 0.75

    assert (mass.low, mass.best, mass.high) == pytest.approx(
        (7000 * 0.6 * volume, 7200 * 0.7 * volume, 7400 * 0.8 * volume)
    )


def test_each_piece_keeps_its_own_density():
    """Lead on the far end pulls the centre there; the one without a density takes the common one."""
    bar = kinds.cylinder(diameter=0.1, length=0.2)
    mass = weigh(together(bar, bar.moved(0.2).made_of(11340)), STEEL)
    each = math.pi / 400 * 0.2

    assert mass.best == pytest.approx(each * (7850 + 11340))
    assert mass.centre[0] == pytest.approx((0.1 * 7850 + 0.3 * 11340) / (7850 + 11340))


def test_solid_cylinder_inertia():
    """m r² / 2 about the axis and m (3 r² + l²) / 12 across it."""
    solid = kinds.cylinder(diameter=0.2, length=0.5).solid
    xx, yy, zz = solid.central()

    assert yy + zz == pytest.approx(solid.volume * 0.01 / 2)
    assert xx + zz == xx + yy == pytest.approx(solid.volume * (3 * 0.01 + 0.25) / 12)


def test_full_turn_of_pipe_is_a_torus():
    """2 pi² R r²; centre at the middle of the bend; inertia m (4 R² + 3 r²) / 4 about its axis."""
    torus = bent_round(0.02, 0.1, 2 * math.pi)

    assert torus.volume == pytest.approx(2 * math.pi**2 * 0.1 * 0.0004)
    assert torus.centre == pytest.approx((0, 0.1, 0), abs=1e-15)
    xx, yy, *_ = torus.central()
    assert xx + yy == pytest.approx(torus.volume * (4 * 0.01 + 3 * 0.0004) / 4)
    assert (*torus.low, *torus.high) == pytest.approx((-0.12, -0.02, -0.02, 0.12, 0.22, 0.02))


def test_half_sphere_and_sphere():
    half = kinds.sphere_cap(base_diameter=0.2, height=0.1)

    assert half.volume == pytest.approx(2 / 3 * math.pi * 0.001)
    assert half.solid.centre[0] == pytest.approx(3 / 8 * 0.1)
    nearly = kinds.sphere_cap(base_diameter=0.0002, height=0.2)
    assert nearly.volume == pytest.approx(4 / 3 * math.pi * 0.001, rel=1e-5)
    assert nearly.solid.high == pytest.approx((0.2, 0.1, 0.1), rel=1e-5)


def test_full_cone_has_its_centre_at_a_quarter():
    cone = kinds.cone_frustum(diameter=0.2, end_diameter=0, length=0.4)

    assert cone.volume == pytest.approx(math.pi * 0.01 * 0.4 / 3)
    assert cone.solid.centre[0] == pytest.approx(0.1)


def test_equal_ways_to_say_it():
    by_wall = kinds.tube(outside=0.1, wall=0.01, length=0.3)
    by_inside = kinds.tube(outside=0.1, inside=0.08, length=0.3)
    as_ring = kinds.ring(outside=0.1, inside=0.08, thickness=0.3)
    as_disc = kinds.disc(diameter=0.1, thickness=0.3, bore=0.08)
    straight = kinds.cone_frustum(diameter=0.1, end_diameter=0.1, length=0.3, bore=0.08)

    for other in (by_inside, as_ring, as_disc, straight):
        assert other.solid.second == pytest.approx(by_wall.solid.second)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: kinds.cylinder(diameter=0, length=1), "diameter is 0 mm; it must be more than zero"),
        (lambda: kinds.cylinder(diameter=0.1, length=-0.2), "length is -200 mm; it must be more than zero"),
        (lambda: kinds.cylinder(diameter=math.nan, length=1), "diameter is nan mm"),
        (
            lambda: kinds.cylinder(diameter=75, length=0.4),
            "diameter is 75 m; shapes go up to 50 m, so check the unit",
        ),
        (lambda: kinds.tube(outside=0.1, length=1), "needs its inside diameter or its wall, one of the two"),
        (lambda: kinds.tube(outside=0.1, length=1, inside=0.1, wall=0.01), "one of the two"),
        (
            lambda: kinds.tube(outside=0.1, length=1, inside=0.11),
            "the inside of 110 mm is not smaller than the outside of 100 mm",
        ),
        (
            lambda: kinds.tube(outside=0.1, length=1, wall=0.05),
            "the wall of 50 mm is not thinner than half of the outside, 50 mm",
        ),
        (
            lambda: kinds.disc(diameter=0.1, thickness=0.01, bore=0.2),
            "the bore of 200 mm is not smaller than the diameter of 100 mm",
        ),
        (
            lambda: kinds.plate(length=0.3, width=0.2, thickness=0.01, bore=0.2),
            "the bore of 200 mm is not smaller than the smaller side of 200 mm",
        ),
        (
            lambda: kinds.rectangular_tube(width=0.3, height=0.2, wall=0.1, length=1),
            "the wall of 100 mm is not thinner than half of the smaller side, 100 mm",
        ),
        (
            lambda: kinds.cone_frustum(diameter=0.2, end_diameter=0.1, length=1, bore=0.15),
            "the bore of 150 mm is not smaller than the smaller end of 100 mm",
        ),
        (lambda: kinds.cone_frustum(diameter=0.2, end_diameter=-0.1, length=1), "end diameter is -100 mm"),
        (
            lambda: kinds.pipe_elbow(outside=0.1, wall=0.005, bend_radius=0.04, angle=1),
            "the bend radius of 40 mm is smaller than half of the outside, 50 mm",
        ),
        (
            lambda: kinds.pipe_elbow(outside=0.1, wall=0.05, bend_radius=0.1, angle=1),
            "the wall of 50 mm is not thinner than half of the outside",
        ),
        (
            lambda: kinds.pipe_elbow(outside=0.1, wall=0.005, bend_radius=0.1, angle=90),
            "above 0 and up to 360 deg",
        ),
        (
            lambda: kinds.gear(teeth=5, module=0.006, width=0.07),
            "5 teeth: write a whole number from 6 to 1000",
        ),
        (lambda: kinds.gear(teeth=20.5, module=0.006, width=0.07), "20.5 teeth: write a whole number"),
        (
            lambda: kinds.gear(teeth=20, module=0.006, width=0.07, bore=0.105),
            "the bore of 105 mm is not smaller than the foot of the teeth of 105 mm",
        ),
        (
            lambda: kinds.bolt(thread=0.016, length=0.07, across_flats=0.016),
            "the head of 16 mm across flats is not wider than the thread",
        ),
        (lambda: together(), "a sum needs at least one shape"),
    ],
)
def test_impossible_shapes_are_refused(make, words):
    with pytest.raises(ShapeError) as caught:
        make()

    assert words in str(caught.value)


BAR = kinds.cylinder(diameter=0.1, length=0.3)


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (
            lambda: without(BAR, kinds.cylinder(diameter=0.05, length=0.31)),
            "cut 1 sticks out of the body by 10 mm along x; shorten it or move it",
        ),
        (
            lambda: without(BAR, BAR.moved(-0.1)),
            "cut 1 sticks out of the body by 100 mm along x",
        ),
        (
            lambda: without(BAR, kinds.cylinder(diameter=0.02, length=0.3).moved((0, 0.045, 0))),
            "cut 1 sticks out of the body by 5 mm along y",
        ),
        (lambda: without(BAR, BAR), "more is cut away than there is"),
        (lambda: without(BAR, BAR.filled(0.5)), "cut 1 has a density, fill or allowance of its own"),
        (
            lambda: without(together(BAR, BAR.moved(0.3).made_of(7000)), BAR),
            "cut each part of a body of several materials before adding them up",
        ),
        (lambda: BAR.filled(1.2), "a fill of 1.2 is more than full"),
        (lambda: BAR.filled(0), "are not lowest, best and highest above zero"),
        (lambda: BAR.allowed(0.9), "an allowance of 0.9 is outside 1 to 10; for holes write a fill"),
        (lambda: weigh(BAR), "no density is given"),
        (lambda: weigh(BAR, 0.87), "a density of 0.87 kg/m³ is not believable"),
        (lambda: weigh(BAR, 78500), "a density of 78500 kg/m³ is not believable"),
        (
            lambda: weigh(BAR, 7850, made="forged"),
            "'forged' is not a way it is made here; write machined or casting",
        ),
        (lambda: weigh(BAR, 7850, half_width=5), "a half-width of 5 is not a share between 0 and 1"),
        (lambda: as_range([1, 2, 3, 4]), "a range is written as lowest and highest"),
        (lambda: as_range([3, 2, 4]), "3, 2, 4 are not lowest, best and highest above zero"),
    ],
)
def test_impossible_work_is_refused(work, words):
    with pytest.raises(ShapeError) as caught:
        work()

    assert words in str(caught.value)


def test_ranges():
    assert as_range(7850) == (7850, 7850, 7850)
    assert as_density([7000, 7400]) == (7000, 7200, 7400)
    assert as_range([1, 2, 4]) == (1, 2, 4)


lengths = st.floats(0.001, 2.0)
places = st.floats(-3, 3)


@given(lengths, lengths, places, places, places)
def test_moving_changes_the_centre_and_nothing_else(diameter, length, x, y, z):
    bar = kinds.cylinder(diameter=diameter, length=length)
    still, moved = weigh(bar, STEEL), weigh(bar.moved((x, y, z)), STEEL)

    assert moved.best == still.best
    assert moved.centre == pytest.approx((still.centre[0] + x, y, z), abs=1e-9)
    scale = still.volume * (1 + x * x + y * y + z * z)
    assert bar.moved((x, y, z)).solid.central() == pytest.approx(bar.solid.central(), abs=1e-12 * scale)


@given(lengths, lengths, st.floats(0.1, 0.9))
def test_two_halves_make_the_whole(diameter, length, cut):
    """Cut anywhere, added up again: same mass, centre and second moments."""
    whole = weigh(kinds.cylinder(diameter=diameter, length=length), STEEL)
    first = kinds.cylinder(diameter=diameter, length=length * cut)
    second = kinds.cylinder(diameter=diameter, length=length * (1 - cut)).moved(length * cut)
    both = together(first, second)
    parts = weigh(both, STEEL)
    moments = kinds.cylinder(diameter=diameter, length=length).solid.central()

    assert parts.best == pytest.approx(whole.best)
    assert parts.centre == pytest.approx(whole.centre)
    assert both.solid.central() == pytest.approx(moments, abs=1e-12 * whole.volume)


@given(lengths, st.floats(0, 2.0), lengths)
def test_a_frustum_lies_between_its_cylinders(diameter, end, length):
    end = end if end >= 1e-3 else 0.0
    volume = kinds.cone_frustum(diameter=diameter, end_diameter=end, length=length).volume
    small, large = sorted((diameter, end))

    assert math.pi / 4 * small**2 * length <= volume * (1 + 1e-12)
    assert volume <= math.pi / 4 * large**2 * length * (1 + 1e-12)


def test_revolved_finds_the_largest_radius_between_the_ends():
    ball = revolved([0.0, 2.0, -1.0], 2.0)  # unit sphere

    assert ball.high == (2.0, 1.0, 1.0)
    assert ball.volume == pytest.approx(4 / 3 * math.pi)
