"""Totals, centres and order of the tree against general libraries that compute them independently."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

import jsbsim
import mujoco
import networkx
import numpy as np
import pytest
from scipy.sparse import identity, lil_matrix
from scipy.sparse.linalg import spsolve

from handling_db.records.collection import Collection
from handling_db.weights.centre import centres
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold
from tests.outside.trees import build, leaf, shared_graph, turned_tree

JSBSIM = Path(jsbsim.__file__).parent


def _xml(collection: Collection, code: str, place: str = "") -> str:
    """The tree as MJCF: every assembly and part a body, every part's mass at its own datum."""
    component = collection.components[code]
    inside = ""
    if component.masses:
        kg = float(component.masses[0].printed.base)  # type: ignore[union-attr]
        inside = f'<inertial pos="0 0 0" mass="{kg!r}" diaginertia="1 1 1"/>'
    for line in component.parts:
        x, y, z = (repr(float(value.base or 0)) for value in line.at or ())
        turned = line.turned
        assert turned
        roll, pitch, yaw = (
            math.radians(float(angle.base or 0)) if angle else 0.0
            for angle in (turned.roll, turned.pitch, turned.yaw)
        )
        # MuJoCo's capital letters are fixed axes: XYZ turns about fixed x, then y, then z.
        inside += _xml(collection, line.component, f'pos="{x} {y} {z}" euler="{roll!r} {pitch!r} {yaw!r}"')
    return f"<body name={quoteattr(code)} {place}>{inside}</body>"


@pytest.mark.parametrize("seed", range(12))
def test_mass_and_centre_of_turned_trees_against_mujoco(seed: int) -> None:
    """Subtree mass and centre of every assembly, frames turned about fixed axes, roll first."""
    collection = turned_tree(seed, 14)
    xml = (
        '<mujoco><compiler angle="radian" eulerseq="XYZ"/>'
        f"<worldbody>{_xml(collection, 'n0')}</worldbody></mujoco>"
    )
    model = mujoco.MjModel.from_xml_string(xml)
    data = mujoco.MjData(model)
    mujoco.mj_kinematics(model, data)
    mujoco.mj_comPos(model, data)
    tree = unfold(collection)
    totals = Totals(collection, tree, "dry")
    ours = centres(totals)
    for (code, build_), node in tree.start.items():
        assert build_ == ()
        body = model.body(code).id
        assert float(totals.of(node).mass.best) == pytest.approx(model.body_subtreemass[body], rel=1e-12)
        centre = ours[node].at
        assert centre is not None
        world = data.xpos[body] + data.xmat[body].reshape(3, 3) @ np.array(centre)
        assert world == pytest.approx(data.subtree_com[body], abs=1e-9)


@pytest.mark.parametrize("model", ["c172p", "f15", "pa28"])
def test_weight_and_centre_of_vehicles_against_jsbsim(model: str) -> None:
    """Empty weight, point masses and tanks of published vehicle models, in pounds and inches."""
    sim = jsbsim.FGFDMExec(str(JSBSIM), None)
    sim.set_debug_level(0)
    assert sim.load_model(model)
    sim.run_ic()
    pieces = _vehicle_pieces(sim)
    assert len(pieces) >= 3
    records: list[tuple[str, dict[str, Any]]] = []
    lines = []
    for code, pounds, place in pieces:
        kind, plain = leaf(code, 1.0)
        plain["masses"][0]["printed"] = f"{pounds:.6f} lb"
        records.append((kind, plain))
        lines.append({"component": code, "quantity": "1", "at": [f"{v:.6f} in" for v in place]})
    whole = {
        "component": "vehicle",
        "name": "vehicle",
        "kind": "assembly",
        "parts listed": "all",
        "parts": lines,
    }
    collection = build([*records, ("component", whole)])
    tree = unfold(collection)
    totals = Totals(collection, tree, "dry")
    node = tree.start[("vehicle", ())]
    pounds = totals.of(node).mass.best / Fraction("0.45359237")
    assert float(pounds) == pytest.approx(sim["inertia/weight-lbs"], rel=1e-6)
    centre = centres(totals)[node].at
    assert centre is not None
    inches = [value / 0.0254 for value in centre]
    theirs = [sim[f"inertia/cg-{axis}-in"] for axis in "xyz"]
    assert inches == pytest.approx(theirs, abs=2e-3)


def _vehicle_pieces(sim: Any) -> list[tuple[str, float, tuple[float, float, float]]]:
    """Empty vehicle, point masses and tanks, read from the model file and the running simulation."""
    name = sim.get_model_name()
    root = ElementTree.parse(JSBSIM / "aircraft" / name / f"{name}.xml").getroot()
    balance = root.find("mass_balance")
    assert balance is not None
    pieces = [("empty", _pounds(balance.find("emptywt")), _place(balance.find("location")))]
    for index, point in enumerate(balance.findall("pointmass")):
        pounds = sim[f"inertia/pointmass-weight-lbs[{index}]"]
        if pounds > 0:
            pieces.append((f"point{index}", pounds, _place(point.find("location"))))
    for index, tank in enumerate(root.findall("./propulsion/tank")):
        pounds = sim[f"propulsion/tank[{index}]/contents-lbs"]
        if pounds > 0:
            pieces.append((f"tank{index}", pounds, _place(tank.find("location"))))
    return pieces


def _pounds(node: Any) -> float:
    factor = {"LBS": 1.0, "KG": 1 / 0.45359237}[node.get("unit", "LBS")]
    return float(node.text) * factor


def _place(node: Any) -> tuple[float, float, float]:
    factor = {"IN": 1.0, "M": 1 / 0.0254, "FT": 12.0}[node.get("unit", "IN")]
    x, y, z = (float(node.find(axis).text) * factor for axis in "xyz")
    return x, y, z


@pytest.mark.parametrize("seed", range(8))
def test_totals_of_shared_graphs_against_a_linear_solve(seed: int) -> None:
    """With A[p, c] the quantity of c in p, the totals t solve (I - A) t = own masses."""
    collection = shared_graph(seed, 300)
    tree = unfold(collection)
    totals = Totals(collection, tree, "dry")
    size = len(tree.nodes)
    quantities = lil_matrix((size, size))
    own = np.zeros((size, 2))
    for node, uses in enumerate(tree.uses):
        for use in uses:
            quantities[node, use.child] += float(use.quantity)
        mass = totals.figures[node].mass
        if not uses and mass is not None:
            own[node] = float(mass.best), float(mass.half_width_worst)
    system = (identity(size) - quantities).tocsc()
    best, half = spsolve(system, own[:, 0]), spsolve(system, own[:, 1])
    for node in range(size):
        mass = totals.of(node).mass
        assert float(mass.best) == pytest.approx(best[node], rel=1e-9)
        assert float(mass.half_width_worst) == pytest.approx(half[node], rel=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_root_sum_square_counts_shared_parts_once_with_all_their_pieces(seed: int) -> None:
    """Pieces of each leaf from powers of the quantity matrix; then the root of the sum of (n d)²."""
    collection = shared_graph(seed, 80)
    tree = unfold(collection)
    totals = Totals(collection, tree, "dry")
    size = len(tree.nodes)
    quantities = np.zeros((size, size))
    for node, uses in enumerate(tree.uses):
        for use in uses:
            quantities[node, use.child] += float(use.quantity)
    pieces = np.linalg.inv(np.eye(size) - quantities)
    half = np.array(
        [
            float(totals.figures[node].mass.half_width_worst) if not tree.uses[node] else 0.0  # type: ignore[union-attr]
            for node in range(size)
        ]
    )
    for node in range(size):
        expected = math.sqrt(float(np.sum((pieces[node] * half) ** 2)))
        assert totals.of(node).mass.half_width_rss == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_order_and_height_against_networkx(seed: int) -> None:
    tree = unfold(shared_graph(seed, 200))
    graph = networkx.DiGraph((p, use.child) for p, uses in enumerate(tree.uses) for use in uses)
    graph.add_nodes_from(range(len(tree.nodes)))
    place = {node: index for index, node in enumerate(tree.order)}
    assert len(place) == len(tree.nodes)
    assert all(place[child] < place[parent] for parent, child in graph.edges)
    heights: dict[int, int] = {}
    for node in reversed(list(networkx.topological_sort(graph))):
        heights[node] = max((heights[child] + 1 for child in graph.successors(node)), default=0)
    assert dict(tree.height) == heights


@pytest.mark.parametrize("seed", range(20))
def test_cycles_against_networkx(seed: int) -> None:
    """Cycles are found exactly where networkx finds them, and each one named really closes."""
    import random

    rng = random.Random(seed)
    lines: dict[str, list[dict[str, str]]] = {f"n{n}": [] for n in range(12)}
    for _ in range(rng.randint(8, 18)):
        parent, child = rng.choice(list(lines)), rng.choice(list(lines))
        lines[parent].append({"component": child, "quantity": "1"})
    records: list[tuple[str, dict[str, Any]]] = [
        (
            "component",
            {"component": code, "name": code, "kind": "assembly", "parts listed": "all", "parts": below},
        )
        for code, below in lines.items()
        if below
    ]
    records += [leaf(code, 1.0) for code, below in lines.items() if not below]
    tree = unfold(build(records))
    graph = networkx.DiGraph(
        (tree.component(p), tree.component(use.child)) for p, uses in enumerate(tree.uses) for use in uses
    )
    looping = {node for ring in networkx.simple_cycles(graph) for node in ring}
    assert bool(tree.cycles) == bool(looping)
    for ring in tree.cycles:
        assert ring[0] == ring[-1]
        assert all(graph.has_edge(a, b) for a, b in itertools.pairwise(ring))
    above = {
        node
        for node in graph
        if any(node == loop or networkx.has_path(graph, node, loop) for loop in looping)
    }
    done = {tree.component(node) for node in tree.order}
    assert done == set(graph) - above | {c for c, b in tree.start if c not in graph}
