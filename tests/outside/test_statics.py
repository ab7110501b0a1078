"""Statics against general libraries: linear solve, linear programming, a physics engine, plane geometry."""

from __future__ import annotations

import importlib
import math
import random

import pytest

from handling_db.mechanics.hang.hanging import settle
from handling_db.mechanics.tipping import stand, support_polygon
from handling_db.mechanics.vectors import Vector, angle_between, apply, distance, subtract, unit
from handling_db.rigging.legs import carry
from tests.plumb import hook_over

numpy = importlib.import_module("numpy")
optimize = importlib.import_module("scipy.optimize")


def some_points(source: random.Random, count: int, radius: float = 0.5) -> dict[str, Vector]:
    """Pick points all round, none too near to another, at different heights."""
    start = source.uniform(0, 2 * math.pi)
    found = {}
    for i in range(count):
        angle = start + 2 * math.pi * (i + source.uniform(-0.25, 0.25)) / count
        far = radius * source.uniform(0.6, 1.2)
        found[f"p{i}"] = (far * math.cos(angle), far * math.sin(angle), source.uniform(-0.15, 0.15))
    return found


def directions(picks: dict[str, Vector], hook: Vector):
    return numpy.array([unit(subtract(hook, point)) for point in picks.values()]).T


@pytest.mark.parametrize("draw", range(40))
def test_three_legs_against_a_linear_solve(draw):
    source = random.Random(draw)
    picks = some_points(source, 3)
    centre = (source.uniform(-0.3, 0.3), source.uniform(-0.3, 0.3), source.uniform(-0.5, 0.1))
    hook = hook_over(centre, 1.6)
    u = directions(picks, hook)

    tensions = numpy.linalg.solve(u, [0.0, 0.0, 1.0])
    case = carry(picks, hook, centre, 100.0)

    solved = [leg.solved_share / math.sin(leg.from_horizontal) for leg in case.legs]
    assert solved == pytest.approx(list(tensions), abs=1e-9)
    assert case.balanced == bool(min(tensions) >= -1e-9)


@pytest.mark.parametrize("count", [4, 5, 6])
@pytest.mark.parametrize("draw", range(15))
def test_ranges_of_four_and_more_legs_against_linear_programming(draw, count):
    source = random.Random(1000 * count + draw)
    picks = some_points(source, count)
    centre = (source.uniform(-0.15, 0.15), source.uniform(-0.15, 0.15), source.uniform(-0.5, 0.1))
    hook = hook_over(centre, 1.6)
    u = directions(picks, hook)
    case = carry(picks, hook, centre, 100.0)
    assert case.shared_by_stiffness

    for i, leg in enumerate(case.legs):
        cost = numpy.zeros(count)
        cost[i] = 1.0
        low = optimize.linprog(cost, A_eq=u, b_eq=[0, 0, 1], method="highs")
        high = optimize.linprog(-cost, A_eq=u, b_eq=[0, 0, 1], method="highs")
        rise = math.sin(leg.from_horizontal)
        assert leg.share_low == pytest.approx(low.fun * rise, abs=1e-7)
        assert leg.share_high == pytest.approx(-high.fun * rise, abs=1e-7)


@pytest.mark.parametrize("draw", range(10))
def test_no_range_where_linear_programming_finds_no_balance(draw):
    source = random.Random(draw)
    picks = some_points(source, 4, radius=0.2)
    centre = (0.6, 0.0, -0.2)
    hook = hook_over(centre, 2.0)
    found = optimize.linprog(numpy.ones(4), A_eq=directions(picks, hook), b_eq=[0, 0, 1], method="highs")

    assert found.status == 2  # infeasible
    assert not carry(picks, hook, centre, 100.0).balanced


def hang_in_mujoco(mujoco, picks: dict[str, Vector], lengths: dict[str, float], centre: Vector) -> Vector:
    """Let a body on strings settle in a physics engine; the direction against gravity in the body's frame."""
    sites = "".join(f'<site name="{n}" pos="{p[0]} {p[1]} {p[2]}"/>' for n, p in picks.items())
    strings = "".join(
        f'<spatial name="{n}" limited="true" range="0 {lengths[n]}" solreflimit="0.004 1" '
        f'solimplimit="0.99 0.9999 0.0001"><site site="hook"/><site site="{n}"/></spatial>'
        for n in picks
    )
    start = -min(lengths.values())
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option timestep="0.001" integrator="implicitfast" gravity="0 0 -9.80665"/>
        <worldbody><site name="hook" pos="0 0 0"/>
        <body name="load" pos="0 0 {start + 0.05}"><freejoint/>{sites}
        <inertial pos="{centre[0]} {centre[1]} {centre[2]}" mass="10" diaginertia="0.5 0.5 0.5"/></body>
        </worldbody>
        <tendon>{strings}</tendon></mujoco>"""
    )
    model.dof_damping[:3] = 20.0
    model.dof_damping[3:] = 3.0
    data = mujoco.MjData(model)
    for _ in range(40000):
        mujoco.mj_step(model, data)
        if data.time > 2.0 and max(abs(data.qvel)) < 1e-6:
            break
    # The body's matrix takes its frame into the room, so its last row is the room's up in the body's frame.
    up = data.xmat[model.body("load").id].reshape(3, 3)[2]
    return (float(up[0]), float(up[1]), float(up[2]))


@pytest.mark.parametrize("draw", range(6))
def test_resting_pose_against_a_physics_engine(draw):
    mujoco = importlib.import_module("mujoco")
    source = random.Random(draw)
    picks = some_points(source, 2 + draw % 3, radius=0.4)
    lengths = {name: source.uniform(0.9, 1.1) for name in picks}
    centre = (source.uniform(-0.12, 0.12), source.uniform(-0.12, 0.12), -0.5)

    rest = settle(picks, lengths, centre)
    up = hang_in_mujoco(mujoco, picks, lengths, centre)

    # The engine's strings give a little and its load creeps to rest.
    assert math.degrees(angle_between(up, rest.up)) < 0.1


@pytest.mark.parametrize("draw", range(20))
def test_support_polygon_against_shapely(draw):
    shapely = importlib.import_module("shapely")
    source = random.Random(draw)
    points = [(source.uniform(-1, 1), source.uniform(-1, 1)) for _ in range(source.randint(3, 30))]
    hull = shapely.MultiPoint(points).convex_hull

    polygon = support_polygon(points)

    assert shapely.Polygon(polygon).equals(hull)
    # Pulled towards the middle, so that it lies inside.
    centre = tuple(sum(p[i] for p in polygon) / len(polygon) for i in (0, 1))
    standing = stand(points, centre, 0.7)
    reach = hull.exterior.distance(shapely.Point(centre))
    assert standing.weakest.base_m == pytest.approx(reach, abs=1e-12)
    assert standing.weakest.tips_at == pytest.approx(math.atan(reach / 0.7))


def test_the_worst_pose_found_by_a_general_optimiser_is_the_resting_one():
    """Deepest centre of gravity over all places of the hook, by a general constrained minimiser."""
    picks = {"a": (-0.3, -0.2, 0.0), "b": (0.4, -0.25, 0.1), "c": (0.05, 0.45, -0.05)}
    lengths = {"a": 0.9, "b": 1.0, "c": 0.8}
    centre = (0.05, 0.02, -0.4)
    found = optimize.minimize(
        lambda h: -distance(tuple(h), centre),
        x0=(0.0, 0.0, 0.5),
        constraints=[
            {"type": "ineq", "fun": lambda h, n=name: lengths[n] - distance(tuple(h), picks[n])}
            for name in picks
        ],
        method="SLSQP",
        options={"ftol": 1e-14},
    )

    rest = settle(picks, lengths, centre)

    assert rest.hook == pytest.approx(tuple(found.x), abs=1e-6)
    assert apply(rest.turn, rest.up) == pytest.approx((0, 0, 1))
