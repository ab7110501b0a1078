"""Turning over against a simulated body (MuJoCo): lifted as it lies and nudged, does it stay the right way up?

The independent side is a rigid body on limited tendons that falls a little into its legs with damping; it
knows nothing of heights or margins.
"""

from __future__ import annotations

import math
import time

import numpy as np

from handling_db.lifting.hanging.hang import HangCase, LegPlace, hang
from handling_db.mechanics.body import Body
from tests.oracles.count import Count
from tests.oracles.hangs import Array

# Cases nearer to the edge than this are left to the closed forms: a nudge decides them. [m]
NEAR = 0.02
SECONDS = 8.0
OVER = 75.0  # [deg]


def final_tilt(points: Array, reach: Array, centre: Array, rng: np.random.Generator) -> float:
    """Tilt of the body once it has come to rest. [deg]"""
    import mujoco

    sites = "".join(f'<site name="p{i}" pos="{p[0]} {p[1]} {p[2]}"/>' for i, p in enumerate(points - centre))
    ropes = "".join(
        f'<spatial limited="true" range="0 {length}" solreflimit="0.004 1"><site site="hook"/><site site="p{i}"/></spatial>'
        for i, length in enumerate(reach)
    )
    # As high as every leg reaches straight over the centre, and a little lower: no leg is tight at first.
    aside = np.hypot(points[:, 0] - centre[0], points[:, 1] - centre[1])
    high = float((np.sqrt(np.maximum(reach**2 - aside**2, 1e-6)) + points[:, 2] - centre[2]).min()) - 0.003
    size = float(np.linalg.norm(points - centre, axis=1).max())
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option timestep="0.001" integrator="implicitfast"/>
        <worldbody><site name="hook" pos="0 0 {high}"/>
        <body name="load"><joint type="free" damping="0"/><inertial pos="0 0 0" mass="100"
        diaginertia="{30 * size**2} {30 * size**2} {30 * size**2}"/>{sites}</body></worldbody>
        <tendon>{ropes}</tendon></mujoco>"""
    )
    model.dof_damping[:3] = 60.0
    model.dof_damping[3:] = 10.0 * size**2
    data = mujoco.MjData(model)
    axis = rng.normal(size=2)
    turn = math.radians(0.8) / 2.0
    axis = axis / np.linalg.norm(axis) * math.sin(turn)
    data.qpos[3:7] = [math.cos(turn), axis[0], axis[1], 0.0]
    most = 0.0
    for _ in range(int(SECONDS / 0.001)):
        mujoco.mj_step(model, data)
        most = math.degrees(math.acos(max(-1.0, min(1.0, float(data.xmat[1][8])))))
        if most > 120.0:
            break
    return most


def random_case(rng: np.random.Generator) -> tuple[Array, Array, Array]:
    """Picks over, at and under the centre, on two to four nearly even legs."""
    legs = int(rng.integers(2, 5))
    ring = rng.uniform(0.3, 0.8)
    turn = rng.uniform(0.0, 6.3) + np.arange(legs) * 2.0 * math.pi / legs
    points = np.column_stack(
        [ring * np.cos(turn), ring * np.sin(turn), np.full(legs, rng.uniform(-0.3, 0.4))]
    )
    centre = rng.normal(size=3) * 0.05 * [1.0, 1.0, 0.0]
    if legs == 2:
        # In line with the two points: beside it the load rolls to where it hangs anyway.
        line = (points[1] - points[0]) / np.linalg.norm(points[1] - points[0])
        centre = points.mean(axis=0) * [1.0, 1.0, 0.0] + line * rng.uniform(-0.3, 0.3) * ring
        centre[2] = 0.0
    hook = np.array([*centre[:2], points[:, 2].max() + rng.uniform(0.6, 1.2)])
    reach = np.linalg.norm(hook - points, axis=1) + rng.random(legs) * 0.004
    return points, reach, centre


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random lifts, announced or not, against what the body does."""
    count = Count()
    end = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < end:
        points, reach, centre = random_case(rng)
        told = f"points {points.tolist()}, lengths {reach.tolist()}, centre {centre.tolist()}"
        try:
            found = ours(points, reach, centre)
        except Exception as error:
            count.cases += 1
            count.note("crashes", f"{error!r}: {told}")
            continue
        stability = found.stability
        if min(abs(stability.margin_m), abs(stability.shift_m or 1.0), abs(stability.height_m)) < NEAR:
            continue
        count.cases += 1
        over = final_tilt(points, reach, centre, rng) > OVER
        said = stability.turns_over or stability.tilt > OVER
        if over and not said:
            count.note("dangerous", f"turns over and is not announced, {stability}: {told}")
        elif said and not over:
            count.note("wide", f"announced and stays, {stability}: {told}")
    return count


def ours(points: Array, reach: Array, centre: Array) -> HangCase:
    """The same lift by the program."""
    legs = [
        LegPlace(f"p{i}", (float(p[0]), float(p[1]), float(p[2])), float(length), 0.001)
        for i, (p, length) in enumerate(zip(points, reach, strict=True))
    ]
    at = (float(centre[0]), float(centre[1]), float(centre[2]))
    return hang(legs, at, Body.of([(100.0, 100.0, 100.0)], [at]))
