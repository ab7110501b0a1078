"""Moving against general libraries and second formulations (scipy, numpy, shapely).

Packing: every way of dividing the pieces is gone through, and a second mixed-integer programme chooses whole
pallets (set partition over all pallets that keep the limits) where ours places single pieces. Feet: a linear
programme with the place of the centre of gravity as a variable, a general minimiser for the even share, and
shapely for inside and outside. The lifting equation has no library that is general: only printed figures.
"""

from __future__ import annotations

import importlib
import itertools

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from handling_db.carrying.demand import Demand
from handling_db.carrying.floor import CentreOutsideFeetError, area_load, foot_shares
from handling_db.carrying.packing import PieceToMove, TripLimits, fewest_pallets

np = importlib.import_module("numpy")
optimize = importlib.import_module("scipy.optimize")
constants = importlib.import_module("scipy.constants")
geometry = importlib.import_module("shapely.geometry")


def _partitions(items):
    """All ways of dividing a list into groups."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for parts in _partitions(rest):
        yield [[first], *parts]
        for i, part in enumerate(parts):
            yield [*parts[:i], [first, *part], *parts[i + 1 :]]


def _groups(items, goes):
    return [
        group
        for size in range(1, len(items) + 1)
        for group in itertools.combinations(range(len(items)), size)
        if goes([items[i] for i in group])
    ]


def _fewest_by_partition(items, goes):
    good = {frozenset(group) for group in _groups(items, goes)}
    counts = [
        len(parts)
        for parts in _partitions(list(range(len(items))))
        if all(frozenset(part) in good for part in parts)
    ]
    return min(counts) if counts else None


def _fewest_by_choosing_pallets(items, goes):
    """Second programme: choose whole pallets so that every piece is on exactly one."""
    groups = _groups(items, goes)
    if not groups:
        return None
    covers = np.array([[1.0 if i in group else 0.0 for group in groups] for i in range(len(items))])
    result = optimize.milp(
        np.ones(len(groups)),
        constraints=optimize.LinearConstraint(covers, 1.0, 1.0),
        integrality=np.ones(len(groups)),
        bounds=optimize.Bounds(0, 1),
    )
    return None if result.x is None else round(result.fun)


ITEMS = st.lists(st.integers(1, 60), min_size=1, max_size=7)


@settings(max_examples=40, deadline=None)
@given(items=ITEMS, places=st.integers(1, 4))
def test_packing_by_mass_and_places(items, places):
    def goes(chosen):
        return sum(chosen) <= 60 and len(chosen) <= places

    got = fewest_pallets(
        [PieceToMove(name=str(i), mass_kg=m) for i, m in enumerate(items)],
        TripLimits(mass_kg=60, places=places),
    )

    assert got.proved_smallest
    assert _fewest_by_partition(items, goes) == _fewest_by_choosing_pallets(items, goes) == got.number


@settings(max_examples=30, deadline=None)
@given(items=ITEMS)
def test_first_fit_never_beats_the_smallest_and_its_bound_never_exceeds_it(items):
    pieces = [PieceToMove(name=str(i), mass_kg=m) for i, m in enumerate(items)]
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("handling_db.carrying.packing.MOST_YES_NO", 0)
        got = fewest_pallets(pieces, TripLimits(mass_kg=60))
    smallest = _fewest_by_choosing_pallets(items, lambda chosen: sum(chosen) <= 60)

    assert got.at_least <= smallest <= got.number
    assert not got.proved_smallest or got.number == smallest


FEET = st.lists(
    st.tuples(st.integers(0, 10), st.integers(0, 10)), min_size=3, max_size=6, unique=True
).filter(lambda feet: geometry.MultiPoint(feet).convex_hull.area > 0.5)


def _extreme(feet, centre, patch, foot, sign):
    """Lowest or highest share of one foot: shares and the place of the centre are the variables."""
    count = len(feet)
    cost = np.zeros(count + 2)
    cost[foot] = sign
    equal = np.zeros((3, count + 2))
    equal[0, :count] = 1
    for axis in (0, 1):
        equal[1 + axis, :count] = [spot[axis] for spot in feet]
        equal[1 + axis, count + axis] = -1
    bounds = [(0, None)] * count + [(c - d, c + d) for c, d in zip(centre, patch, strict=True)]
    result = optimize.linprog(cost, A_eq=equal, b_eq=[1, 0, 0], bounds=bounds)
    return None if result.x is None else sign * result.fun


@settings(max_examples=60, deadline=None)
@given(
    feet=FEET,
    weights=st.lists(st.integers(1, 5), min_size=6, max_size=6),
    patch=st.tuples(st.sampled_from([0.0, 0.2, 1.0, 3.0]), st.sampled_from([0.0, 0.2, 1.0, 3.0])),
)
def test_range_of_each_foot_against_linear_programming(feet, weights, patch):
    total = sum(weights[: len(feet)])
    centre = tuple(sum(w * spot[i] for w, spot in zip(weights, feet, strict=False)) / total for i in (0, 1))

    shares = foot_shares(feet, centre, patch=patch)

    for foot in range(len(feet)):
        assert _extreme(feet, centre, patch, foot, 1) == pytest.approx(shares.lowest[foot], abs=1e-6)
        assert _extreme(feet, centre, patch, foot, -1) == pytest.approx(shares.highest[foot], abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(feet=FEET, weights=st.lists(st.integers(1, 5), min_size=6, max_size=6))
def test_even_share_against_a_general_minimiser(feet, weights):
    """Evenly stiff feet that cannot pull: least sum of squares under the balance of forces and moments."""
    total = sum(weights[: len(feet)])
    centre = tuple(sum(w * spot[i] for w, spot in zip(weights, feet, strict=False)) / total for i in (0, 1))
    spots = np.array(feet, dtype=float)

    result = optimize.minimize(
        lambda n: float(n @ n),
        np.array(weights[: len(feet)], dtype=float) / total,
        jac=lambda n: 2 * n,
        bounds=[(0, None)] * len(feet),
        constraints=[
            {"type": "eq", "fun": lambda n: n.sum() - 1},
            {"type": "eq", "fun": lambda n: spots.T @ n - np.array(centre)},
        ],
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assume(result.success)

    assert list(result.x) == pytest.approx(list(foot_shares(feet, centre, patch=(0, 0)).even), abs=1e-4)


@settings(max_examples=80, deadline=None)
@given(feet=FEET, x=st.integers(-20, 120), y=st.integers(-20, 120))
def test_inside_and_outside_against_polygons(feet, x, y):
    centre = (x / 10 + 0.013, y / 10 + 0.017)
    hull = geometry.MultiPoint(feet).convex_hull
    assume(hull.exterior.distance(geometry.Point(centre)) > 1e-3)

    if hull.contains(geometry.Point(centre)):
        assert sum(foot_shares(feet, centre, patch=(0, 0)).even) == pytest.approx(1)
    else:
        with pytest.raises(CentreOutsideFeetError, match="outside the area between the feet"):
            foot_shares(feet, centre, patch=(0, 0))


@given(mass=st.floats(1, 1e5), area=st.floats(0.01, 100))
def test_units_of_area_load_against_scipy_constants(mass, area):
    load = area_load(Demand(name="x", low_kg=mass, high_kg=mass), area=area, limit=None, limit_unit=None)

    assert mass * constants.g / area / 1000 == pytest.approx(load.kn_per_m2, rel=1e-12)
    assert (mass / constants.pound) / (area / constants.foot**2) == pytest.approx(load.lb_per_ft2, rel=1e-12)
