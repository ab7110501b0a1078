"""The invented transfer box: every recorded mass with a shape is that shape times its density, as printed.

Typed from the example data of this project: a worked example of our own, not a validation.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from handling_db.families.shape_specs import shape_from
from handling_db.families.shapes import weigh
from handling_db.formulas.figures import figure
from handling_db.formulas.formula import parse

STEEL, IRON, GREY, LINING = 7850, 7100, 7200, 1600


def mm(spec):
    """The same description with every length in metres in place of millimetres."""
    kept = {"fill", "allowance", "density", "teeth"}
    if isinstance(spec, dict):
        return {key: value if key in kept else mm(value) for key, value in spec.items()}
    if isinstance(spec, list):
        return [mm(part) for part in spec]
    return spec / 1000


def tube(outside, inside, length, at=0, **more):
    return {"tube": {"outside": outside, "inside": inside, "length": length}, "at": at, **more}


def bar(diameter, length, at=0, **more):
    return {"cylinder": {"diameter": diameter, "length": length}, "at": at, **more}


def plate(length, width, thickness, at=0, **more):
    return {"plate": {"length": length, "width": width, "thickness": thickness}, "at": at, **more}


def flange(disc, hub, bore):
    """A disc and a hub in line, bored through."""
    length = disc[1] + hub[1]
    body = {"sum": [bar(*disc), bar(*hub, at=disc[1])]}
    return {"difference": {"from": body, "cut": [bar(bore, length)]}}


def gear(teeth, width, bore, **more):
    return {"gear": {"teeth": teeth, "module": 6, "width": width, "bore": bore}, **more}


# The case is 620 x 780 to the middle of its 14 mm wall: 634 x 794 outside.
CASE = {
    "sum": [
        {"rectangular tube": {"width": 634, "height": 794, "wall": 14, "length": 300}},
        plate(780, 620, 14, at=300, fill=0.70),
    ],
    "allowance": 1.35,
}
# The end closes the tube over its full 472 and is half open.
DIFFERENTIAL_CASE = {
    "sum": [
        tube(472, 436, 360),
        {"disc": {"diameter": 472, "thickness": 18}, "at": 360, "fill": 0.5},
        tube(580, 436, 32),
    ],
    "allowance": 1.3,
}
CARRIER = {
    "sum": [
        tube(280, 100, 41, allowance=1.25),
        tube(280, 100, 41, at=125, allowance=1.25),
        tube(180, 100, 63, at=166),
    ]
}
FRICTION_DISC = {
    "sum": [
        tube(250, 190, 0.9, density=LINING),
        tube(250, 190, 2.2, at=0.9, density=STEEL),
        tube(250, 190, 0.9, at=3.1, density=LINING),
    ]
}
DRILLED_SHAFT = {"difference": {"from": bar(80, 620), "cut": [bar(22, 300)]}}
JOINT_BOLT = {"sum": [bar(16, 70), bar(24, 16, at=-16)]}

# Name, printed mass of one [kg], density [kg/m³], shape in mm.
LINES = [
    ("gear case", "158", IRON, CASE),
    ("gear case cover", "52", IRON, plate(780, 620, 14, fill=0.80, allowance=1.35)),
    ("input flange", "8.3", STEEL, flange((203, 22), (100, 80), 60)),
    ("input shaft", "14.9", STEEL, bar(75, 430)),
    ("input gear", "17.7", STEEL, gear(36, 70, 75)),
    ("tapered bearing, input", "3.2", STEEL, tube(160, 75, 40, fill=0.65)),
    ("idler shaft", "9.1", STEEL, bar(70, 300)),
    ("idler gear", "24.6", STEEL, gear(44, 70, 70, fill=0.88)),
    ("tapered bearing, idler", "2.7", STEEL, tube(150, 70, 38, fill=0.65)),
    ("output gear", "25.6", STEEL, gear(46, 70, 130)),
    ("splined sleeve", "14.1", STEEL, tube(130, 90, 260)),
    ("roller bearing, sleeve", "4.9", STEEL, tube(215, 130, 42, fill=0.65)),
    ("oil pump", "8.8", GREY, {"box": {"length": 150, "width": 130, "height": 90}, "fill": 0.70}),
    ("auxiliary drive adapter plate", "8.3", STEEL, plate(300, 220, 16)),
    ("differential case", "134", IRON, DIFFERENTIAL_CASE),
    ("rear cover", "30", IRON, tube(472, 130, 20, allowance=1.3)),
    ("front extension tube", "17.4", IRON, tube(200, 172, 240, allowance=1.25)),
    ("planet carrier", "47", IRON, CARRIER),
    ("ring gear", "23.6", STEEL, tube(360, 290, 84)),
    ("ring gear hub", "15.1", STEEL, {"sum": [tube(290, 100, 24), tube(140, 100, 70, at=24)]}),
    ("sun gear", "6.1", STEEL, tube(126, 70, 90)),
    ("planet gear", "2.4", STEEL, tube(82, 40, 76)),
    ("planet pin", "1.18", STEEL, bar(40, 120)),
    ("clutch drum", "15.48", STEEL, {"sum": [tube(290, 268, 120), tube(290, 100, 14, at=120)]}),
    ("clutch hub", "6.4", STEEL, {"sum": [tube(190, 168, 96), tube(168, 90, 14, at=96)]}),
    ("clutch piston", "7.36", STEEL, tube(262, 120, 22)),
    ("end plate", "3.09", STEEL, tube(264, 196, 16)),
    ("friction disc", "0.418", None, FRICTION_DISC),
    ("steel plate", "0.579", STEEL, tube(264, 196, 3)),
    ("front output shaft", "23.57", STEEL, DRILLED_SHAFT),
    ("rear output shaft", "19", STEEL, bar(90, 380)),
    ("front output flange", "9.8", STEEL, flange((203, 24), (110, 90), 65)),
    ("tapered bearing, front output", "4", STEEL, tube(170, 80, 44, fill=0.65)),
    ("rear output flange", "9.8", STEEL, flange((203, 24), (110, 90), 65)),
    ("tapered bearing, rear output", "4", STEEL, tube(170, 80, 44, fill=0.65)),
    ("parking brake disc", "14.7", GREY, tube(420, 180, 18)),
    ("joint bolt", "0.167", STEEL, JOINT_BOLT),
    ("dowel", "0.123", STEEL, bar(20, 50)),
    ("lubrication pipe", "0.18", STEEL, tube(22, 18, 180)),
]


@pytest.mark.parametrize(("name", "printed", "density", "shape"), LINES, ids=[line[0] for line in LINES])
def test_shape_gives_the_recorded_mass(name, printed, density, shape):
    """Rounded to the digits printed; whole figures are to 1 kg for castings, to 0.1 for the rest."""
    castings = {"gear case", "gear case cover", "differential case", "rear cover", "planet carrier"}
    step = Decimal(1) if name in castings else max(Decimal("0.001"), _step(printed))
    best = weigh(shape_from(mm(shape)), density).best

    assert best == pytest.approx(float(printed), abs=float(step) / 2)


def _step(printed):
    exponent = Decimal(printed).as_tuple().exponent
    return Decimal("0.1") if exponent == 0 else Decimal(1).scaleb(exponent)


def test_auxiliary_drive_hint():
    """260 x 180 x 90 iron, filled 0.65 to 0.85: 19 to 25 kg, without the doubt of the kind."""
    spec = {"box": {"length": 0.26, "width": 0.18, "height": 0.09}, "fill": [0.65, 0.85]}
    mass = weigh(shape_from(spec), IRON, half_width=0)

    assert (round(mass.low), round(mass.high)) == (19, 25)


CLUTCH = {6: "38.6", 8: "41.7", 10: "44.7", 12: "47.8"}


def clutch_pack(discs):
    """Drum whose length is 64 + 7 N, discs and plates, and the parts that do not depend on N. [kg]"""
    length = float(parse("64*mm + 7*mm*discs").evaluate({"discs": figure(Fraction(discs))}).magnitude)
    tube_part = {"tube": {"outside": 0.290, "inside": 0.268, "length": length}}
    web = {"tube": {"outside": 0.290, "inside": 0.100, "length": 0.014}, "at": length}
    drum = weigh(shape_from({"sum": [tube_part, web]}), STEEL).best
    disc = weigh(shape_from(mm(FRICTION_DISC))).best
    plate_mass = weigh(shape_from(mm(tube(264, 196, 3))), STEEL).best
    return drum + discs * (disc + plate_mass) + 6.4 + 7.36 + 3.09 + 1.35


@pytest.mark.parametrize("discs", [6, 8, 10, 12])
def test_clutch_pack_over_its_discs(discs):
    by_formula = parse("29.44*kg + 1.527*kg*discs").evaluate({"discs": figure(Fraction(discs))}).magnitude

    assert float(by_formula) == pytest.approx(float(CLUTCH[discs]), abs=0.05 + 1e-9)
    assert clutch_pack(discs) == pytest.approx(float(by_formula), abs=0.02)


@pytest.mark.parametrize(
    ("length", "shaft", "tube_mass"), [(620, "23.6", "17.4"), (780, "29.9", "29.0"), (940, "36.2", "40.7")]
)
def test_front_output_shaft_and_extension_tube_over_their_length(length, shaft, tube_mass):
    drilled = {"difference": {"from": bar(80, length), "cut": [bar(22, 300)]}}
    extension = tube(200, 172, 240 + (length - 620), allowance=1.25)

    assert weigh(shape_from(mm(drilled)), STEEL).best == pytest.approx(float(shaft), abs=0.05)
    assert weigh(shape_from(mm(extension)), IRON).best == pytest.approx(float(tube_mass), abs=0.05)
