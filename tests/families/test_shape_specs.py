"""Shapes as records describe them."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest

from handling_db.families.shape_figures import ShapeError
from handling_db.families.shape_specs import shape_from
from handling_db.families.shape_table import SHAPES
from handling_db.families.shapes import weigh

BAR = {"cylinder": {"diameter": 0.1, "length": 0.3}}

EXAMPLES = {
    "cylinder": {"diameter": 0.1, "length": 0.3},
    "tube": {"outside": 0.1, "length": 0.3, "inside": 0.08},
    "disc": {"diameter": 0.2, "thickness": 0.02, "bore": 0.05},
    "ring": {"outside": 0.2, "inside": 0.1, "thickness": 0.02},
    "box": {"length": 0.3, "width": 0.2, "height": 0.1},
    "plate": {"length": 0.3, "width": 0.2, "thickness": 0.01, "bore": 0.05},
    "rectangular tube": {"width": 0.2, "height": 0.1, "wall": 0.01, "length": 0.5},
    "cone frustum": {"diameter": 0.2, "end diameter": 0.1, "length": 0.3, "bore": 0.05},
    "hexagon prism": {"across flats": 0.05, "length": 0.1, "bore": 0.02},
    "sphere cap": {"base diameter": 0.2, "height": 0.05},
    "pipe elbow": {"outside": 0.1, "wall": 0.005, "bend radius": 0.15, "angle": math.pi / 2},
    "gear": {"teeth": 36, "module": 0.006, "width": 0.07, "bore": 0.075},
    "bolt": {"thread": "M16", "length": 0.07, "across flats": 0.024, "head height": 0.01},
}


def test_every_kind_has_an_example():
    assert set(EXAMPLES) == set(SHAPES)


@pytest.mark.parametrize("kind", SHAPES)
def test_every_kind_is_built_and_every_length_matters(kind):
    """A tenth more on any dimension changes the volume: no figure is read and then forgotten."""
    example = EXAMPLES[kind]
    volume = shape_from({kind: example}).volume

    assert volume > 0
    for name, value in example.items():
        larger = "M18" if value == "M16" else value + 4 if name == "teeth" else value * 1.1
        assert shape_from({kind: {**example, name: larger}}).volume != pytest.approx(volume, rel=1e-6), name


@pytest.mark.parametrize("kind", SHAPES)
def test_each_required_dimension_is_asked_for(kind):
    for name in SHAPES[kind].required:
        less = {key: value for key, value in EXAMPLES[kind].items() if key != name}
        with pytest.raises(ShapeError, match=f"^{kind}: {name} is missing. It takes "):
            shape_from({kind: less})


def test_exact_figures_are_taken():
    fractions = {"cylinder": {"diameter": Fraction(1, 10), "length": Decimal("0.3")}}

    assert shape_from(fractions).volume == pytest.approx(shape_from(BAR).volume)


def test_modifiers():
    spec = {**BAR, "at": 0.5, "fill": [0.6, 0.8], "allowance": 1.35, "density": [7000, 7100, 7400]}
    mass = weigh(shape_from(spec), half_width=0)
    volume = math.pi / 400 * 0.3

    assert mass.centre[0] == pytest.approx(0.65)
    assert mass.low == pytest.approx(7000 * 0.6 * 1.35 * volume)
    assert mass.best == pytest.approx(7100 * 0.7 * 1.35 * volume)
    assert mass.high == pytest.approx(7400 * 0.8 * 1.35 * volume)
    assert shape_from({**BAR, "at": [0.1, 0.2, 0.3]}).solid.centre == pytest.approx((0.25, 0.2, 0.3))


def test_sum_and_difference_nest():
    hole = {"cylinder": {"diameter": 0.02, "length": 0.3}}
    spec = {
        "sum": [
            {
                "difference": {
                    "from": BAR,
                    "cut": [{**hole, "at": [0, 0.03, 0]}, {**hole, "at": [0, -0.03, 0]}],
                }
            },
            {"disc": {"diameter": 0.2, "thickness": 0.02}, "at": 0.3},
        ]
    }
    expected = math.pi / 4 * (0.3 * (0.01 - 2 * 0.0004) + 0.02 * 0.04)

    assert shape_from(spec).volume == pytest.approx(expected)


@pytest.mark.parametrize("written", ["M16", "M16x1.5", "M16 x 2", 0.016, Fraction(16, 1000)])
def test_threads(written):
    bolt = shape_from({"bolt": {"thread": written, "length": 0.07}})

    assert bolt.volume == pytest.approx(
        math.pi / 4 * 0.016**2 * 0.07 + math.sqrt(3) / 2 * 0.024**2 * 0.65 * 0.016
    )


@pytest.mark.parametrize(
    ("spec", "words"),
    [
        ("cylinder", "a shape is written as its kind with its dimensions"),
        ({}, "no kind of shape is named; write one of cylinder, tube"),
        ({"at": 1}, "no kind of shape is named"),
        ({**BAR, "box": {}}, "cylinder and box stand together; write one of"),
        ({"cylindre": {}}, "'cylindre' is not known here, did you mean 'cylinder'?"),
        (
            {**BAR, "filll": 1, "zzz": 2},
            "'filll' is not known here, did you mean 'fill'?; 'zzz' is not known here",
        ),
        ({"cylinder": 3}, "cylinder: write its dimensions: diameter, length"),
        (
            {"cylinder": {"diam": 0.1, "length": "30 cm"}},
            "cylinder: 'diam' is not known here, did you mean 'diameter'?; diameter is missing; "
            "length is '30 cm', not a figure. It takes diameter, length",
        ),
        ({"cylinder": {"diameter": True, "length": 1}}, "diameter is True, not a figure"),
        ({"cylinder": {"diameter": None, "length": 1}}, "diameter is None, not a figure"),
        ({"bolt": {"thread": "16", "length": 0.07}}, "thread is '16'; write it like M16"),
        ({"sum": []}, "sum: write a list of shapes, at least one"),
        ({"sum": "x"}, "sum: write a list of shapes"),
        (
            {"sum": [BAR, {"tube": {"outside": 0.1, "length": 1}}]},
            "sum 2 tube: a tube needs its inside diameter",
        ),
        ({"difference": {"from": BAR}}, "difference: write from: a shape, and cut: a list of shapes"),
        (
            {"difference": {"from": BAR, "cut": [{**BAR, "at": 1}]}},
            "difference: cut 1 sticks out of the body",
        ),
        ({**BAR, "at": [1, 2]}, "cylinder: at is one length along x, or a point of three lengths"),
        ({**BAR, "at": "1 mm"}, "cylinder: at is '1 mm', not a figure"),
        ({**BAR, "fill": 2}, "cylinder: a fill of 2 is more than full"),
        ({**BAR, "density": 0.87}, "cylinder: a density of 0.87 kg/m³ is not believable"),
        ({**BAR, "density": []}, "cylinder: a range is written as lowest and highest"),
    ],
)
def test_faults_say_where_and_what(spec, words):
    with pytest.raises(ShapeError) as caught:
        shape_from(spec)

    assert words in str(caught.value)


def test_depth_and_number_are_limited():
    deep = BAR
    for _ in range(12):
        deep = {"sum": [deep]}
    with pytest.raises(ShapeError, match="at most 100 shapes, nested 8 deep"):
        shape_from(deep)
    with pytest.raises(ShapeError, match="at most 100 shapes"):
        shape_from({"sum": [BAR] * 101})
