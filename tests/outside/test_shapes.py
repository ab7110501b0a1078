"""Volume, centre and second moments of every shape against trimesh, which integrates over a closed mesh.

Meshes of round things have 512 sides, which costs up to 5e-5 of the figures; plain ones are exact.
"""

import importlib
import math

import pytest

from handling_db.families.shape_kinds import GEAR_REMARK
from handling_db.families.shape_specs import shape_from
from handling_db.families.shape_table import SHAPES
from handling_db.families.shapes import weigh

np = importlib.import_module("numpy")
trimesh = importlib.import_module("trimesh")

SIDES = 512
ROUND, PLAIN = 2e-4, 1e-9
# Meshes lie along z; shapes lie along x. This turn keeps the frame right-handed: z to x, x to y, y to z.
TO_X = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=float)


def along_x(mesh):
    """Turn a mesh from z to x and start it at x = 0."""
    mesh.apply_transform(TO_X)
    mesh.apply_translation([-mesh.bounds[0][0], 0, 0])
    return mesh


def bar(diameter, length, sides=SIDES):
    return along_x(trimesh.creation.cylinder(radius=diameter / 2, height=length, sections=sides))


def less(mesh, *cuts):
    """A mesh with others taken away: their surfaces turned inside out, which is all the integrals need."""
    for cut in cuts:
        cut.invert()
    return trimesh.util.concatenate([mesh, *cuts])


def turned(points):
    """A solid of revolution about x from its (x, radius) outline."""
    outline = np.array([[radius, x] for x, radius in points])
    mesh = trimesh.creation.revolve(outline, sections=SIDES)
    mesh.apply_transform(TO_X)
    return mesh


def bent(radius, bend, angle, along=256, around=128):
    """A bent round bar from its own grid of points, closed at both ends."""
    turn = np.linspace(0, angle, along)
    rim = np.linspace(0, 2 * math.pi, around, endpoint=False)
    r = bend - radius * np.cos(rim)[None, :]  # seen from the centre of the bend
    z = np.broadcast_to(radius * np.sin(rim)[None, :], (along, around))
    x, y = r * np.sin(turn)[:, None], bend - r * np.cos(turn)[:, None]
    points = np.stack([x, y, z], axis=2).reshape(-1, 3)
    ends = [[bend * math.sin(t), bend - bend * math.cos(t), 0] for t in (0, angle)]
    faces = []
    for i in range(along - 1):
        for j in range(around):
            a, b = i * around + j, i * around + (j + 1) % around
            faces += [[a, b, a + around], [b, b + around, a + around]]
    first, last = along * around, along * around + 1
    for j in range(around):
        k = (j + 1) % around
        faces.append([first, k, j])
        faces.append([last, (along - 1) * around + j, (along - 1) * around + k])
    mesh = trimesh.Trimesh(vertices=np.vstack([points, ends]), faces=faces, process=False)
    trimesh.repair.fix_normals(mesh)
    return mesh


def box(length, width, height):
    mesh = trimesh.creation.box(extents=[length, width, height])
    mesh.apply_translation([length / 2, 0, 0])
    return mesh


def hexagon(flats, length):
    return bar(2 * flats / math.sqrt(3), length, sides=6)


def cap_points(base, height, steps=120):
    radius = (base**2 / 4 + height**2) / (2 * height)
    start = math.acos((radius - height) / radius)
    angles = np.linspace(start, 0, steps)
    return [(0, 0), *((height - radius + radius * math.cos(a), radius * math.sin(a)) for a in angles)]


def bolt_mesh():
    head = hexagon(0.024, 0.010)
    head.apply_translation([-0.010, 0, 0])
    return trimesh.util.concatenate([bar(0.016, 0.07), head])


# Kind: dimensions, mesh, relative tolerance.
CASES = {
    "cylinder": ({"diameter": 0.1, "length": 0.3}, lambda: bar(0.1, 0.3), ROUND),
    "tube": (
        {"outside": 0.1, "length": 0.3, "wall": 0.012},
        lambda: less(bar(0.1, 0.3), bar(0.076, 0.3)),
        ROUND,
    ),
    "disc": (
        {"diameter": 0.2, "thickness": 0.02, "bore": 0.05},
        lambda: less(bar(0.2, 0.02), bar(0.05, 0.02)),
        ROUND,
    ),
    "ring": (
        {"outside": 0.2, "inside": 0.15, "thickness": 0.02},
        lambda: along_x(trimesh.creation.annulus(r_min=0.075, r_max=0.1, height=0.02, sections=SIDES)),
        ROUND,
    ),
    "box": ({"length": 0.3, "width": 0.2, "height": 0.1}, lambda: box(0.3, 0.2, 0.1), PLAIN),
    "plate": (
        {"length": 0.3, "width": 0.2, "thickness": 0.01, "bore": 0.05},
        lambda: less(box(0.01, 0.2, 0.3), bar(0.05, 0.01)),
        ROUND,
    ),
    "rectangular tube": (
        {"width": 0.2, "height": 0.1, "wall": 0.01, "length": 0.5},
        lambda: less(box(0.5, 0.2, 0.1), box(0.5, 0.18, 0.08)),
        PLAIN,
    ),
    "cone frustum": (
        {"diameter": 0.2, "end diameter": 0.1, "length": 0.3},
        lambda: turned([(0, 0), (0, 0.1), (0.3, 0.05), (0.3, 0)]),
        ROUND,
    ),
    "hexagon prism": ({"across flats": 0.05, "length": 0.1}, lambda: hexagon(0.05, 0.1), PLAIN),
    "sphere cap": (
        {"base diameter": 0.2, "height": 0.13},
        lambda: turned(cap_points(0.2, 0.13)),
        ROUND,
    ),
    "pipe elbow": (
        {"outside": 0.1, "wall": 0.01, "bend radius": 0.15, "angle": math.radians(70)},
        lambda: less(bent(0.05, 0.15, math.radians(70)), bent(0.04, 0.15, math.radians(70))),
        5e-4,
    ),
    "gear": (
        {"teeth": 36, "module": 0.006, "width": 0.07, "bore": 0.075},
        lambda: less(bar(0.216, 0.07), bar(0.075, 0.07)),
        ROUND,
    ),
    "bolt": (
        {"thread": "M16", "length": 0.07, "across flats": 0.024, "head height": 0.010},
        bolt_mesh,
        ROUND,
    ),
}

NESTED = {
    "sum": [
        {
            "difference": {
                "from": {"cylinder": {"diameter": 0.2, "length": 0.1}},
                "cut": [
                    {"cylinder": {"diameter": 0.03, "length": 0.05}, "at": [0.05, 0.05, 0.02]},
                    {"box": {"length": 0.02, "width": 0.04, "height": 0.06}, "at": [0, -0.03, 0.01]},
                ],
            }
        },
        {"hexagon prism": {"across flats": 0.05, "length": 0.08}, "at": [0.1, 0.01, 0]},
    ],
}


def nested_mesh():
    hole, pocket, nose = bar(0.03, 0.05), box(0.02, 0.04, 0.06), hexagon(0.05, 0.08)
    hole.apply_translation([0.05, 0.05, 0.02])
    pocket.apply_translation([0, -0.03, 0.01])
    nose.apply_translation([0.1, 0.01, 0])
    return trimesh.util.concatenate([less(bar(0.2, 0.1), hole, pocket), nose])


def compare(spec, mesh, tolerance):
    ours = weigh(shape_from(spec), 7850)
    mesh.density = 7850
    size = float(np.ptp(mesh.bounds, axis=0).max())

    assert mesh.is_watertight
    assert ours.volume == pytest.approx(mesh.volume, rel=tolerance)
    assert ours.best == pytest.approx(mesh.mass, rel=tolerance)
    assert ours.centre == pytest.approx(mesh.center_mass, abs=tolerance * size)
    xx, yy, zz = (7850 * moment for moment in shape_from(spec).solid.central())
    assert (yy + zz, xx + zz, xx + yy) == pytest.approx(
        np.diag(mesh.moment_inertia), rel=2 * tolerance, abs=tolerance * ours.best * size**2
    )
    assert shape_from(spec).solid.low == pytest.approx(mesh.bounds[0], abs=tolerance * size)
    assert shape_from(spec).solid.high == pytest.approx(mesh.bounds[1], abs=tolerance * size)


def test_every_kind_of_shape_is_compared():
    assert set(CASES) == set(SHAPES)


@pytest.mark.parametrize("kind", CASES)
def test_shape_against_its_mesh(kind):
    dimensions, mesh, tolerance = CASES[kind]

    compare({kind: dimensions}, mesh(), tolerance)


def test_elbows_beyond_a_half_turn():
    """The enclosing box of a bend that turns past its far side."""
    angle = math.radians(200)
    spec = {"pipe elbow": {"outside": 0.1, "wall": 0.02, "bend radius": 0.06, "angle": angle}}

    compare(spec, less(bent(0.05, 0.06, angle), bent(0.03, 0.06, angle)), 1e-3)


def test_sum_of_differences_out_of_the_axis():
    compare(NESTED, nested_mesh(), ROUND)


def test_a_gear_is_compared_as_the_disc_it_says_it_is():
    assert shape_from({"gear": CASES["gear"][0]}).remarks == (GEAR_REMARK,)
