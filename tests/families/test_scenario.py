"""The families of the invented transfer box, read from its records.

A worked example of our own, not a validation: the expected figures were worked out from the same shapes.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.checker import check
from handling_db.families.build import BuildError
from handling_db.families.named_builds import build_for_serial, named_build
from handling_db.lookup.sweep import Held, sweep
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection
from handling_db.weights.witness import witnesses

WEIGHED_ONLY = {
    "suction-screen",
    "harness",
    "speed-sensor",
    "gear-section-bolts",
    "return-springs",
    "parking-brake-caliper",
    "differential-section-bolts",
}


def best(demo: Collection, code: str, **values: object) -> float:
    return float(answer(demo, code, given=values, state="dry").headline.best)


@pytest.mark.slow
@pytest.mark.parametrize("discs", range(4, 13))
def test_the_clutch_pack_over_its_discs(demo: Collection, discs: int) -> None:
    """29.44 + 1.527 N: a disc of 0.418, a plate of 0.579 and 7 mm of drum of 0.530 kg."""
    assert best(demo, "lock-clutch-pack", discs=Fraction(discs)) == pytest.approx(
        29.44 + 1.527 * discs, abs=0.003
    )


@pytest.mark.parametrize(("discs", "printed"), [(6, "38.6"), (8, "41.7"), (10, "44.7"), (12, "47.8")])
def test_the_clutch_pack_as_printed(demo: Collection, discs: int, printed: str) -> None:
    assert f"{best(demo, 'lock-clutch-pack', discs=Fraction(discs)):.1f}" == printed


def test_the_drum_grows_with_the_pack(demo: Collection) -> None:
    """Discs and plates alone would give 45.6 kg for twelve: the drum's 2.1 kg are the slip."""
    drum = best(demo, "clutch-drum", discs=Fraction(12)) - best(demo, "clutch-drum")
    twelve = best(demo, "lock-clutch-pack", discs=Fraction(12))

    assert drum == pytest.approx(4 * 0.530, abs=0.005)
    assert f"{twelve - drum:.1f}" == "45.6"


@pytest.mark.parametrize("code", ["clutch-drum", "lock-clutch-pack", "differential-section", "transfer-box"])
def test_thirteen_discs_are_refused_with_the_range(demo: Collection, code: str) -> None:
    with pytest.raises(BuildError) as caught:
        answer(demo, code, given={"discs": Fraction(13)})

    assert str(caught.value) == "discs = 13 is out of range: it goes from 4 to 12 in steps of 1"


def test_the_case_limits_the_drum_by_itself(demo: Collection) -> None:
    """Were the discs not limited, the drum of 64 + 7 N would be, at 148 mm."""
    drum = demo.components["clutch-drum"]
    wide = drum.parameters["discs"].model_copy(update={"to": None})
    free = drum.model_copy(update={"parameters": {**drum.parameters, "discs": wide}})
    changed = Collection(**{**_shelves(demo), "components": {**demo.components, "clutch-drum": free}})

    assert answer(changed, "clutch-drum", given={"discs": Fraction(12)}).build[1].text == "148 mm"
    with pytest.raises(BuildError, match="drum_length = 155 mm is out of range: it goes from any to 148 mm"):
        answer(changed, "clutch-drum", given={"discs": Fraction(13)})


def _shelves(collection: Collection) -> dict[str, object]:
    shelves = [name for name, field in collection.__dataclass_fields__.items() if field.init]
    return {name: getattr(collection, name) for name in shelves}


@pytest.mark.parametrize(
    ("length", "shaft", "tube"), [("620", "23.6", "17.4"), ("780", "29.9", "29.0"), ("940", "36.2", "40.7")]
)
def test_shaft_and_tube_over_their_length(demo: Collection, length: str, shaft: str, tube: str) -> None:
    metres = Fraction(length) / 1000

    assert f"{best(demo, 'front-output-shaft', length=metres):.1f}" == shaft
    assert f"{best(demo, 'front-extension-tube', length=metres):.1f}" == tube


def test_the_long_frame_adds_to_the_section(demo: Collection) -> None:
    usual = best(demo, "differential-section")
    long = best(demo, "differential-section", length=Fraction("0.78"))

    assert f"{usual:.1f}" == "447.2"
    assert long - usual == pytest.approx(17.9, abs=0.06)
    both = best(demo, "differential-section", length=Fraction("0.78"), discs=Fraction(12))
    assert f"{both:.1f}" == "471.3"


@pytest.mark.parametrize("length", [620, 780, 940])
def test_places_move_forward_with_the_length(demo: Collection, length: int) -> None:
    given = {"length": Fraction(length, 1000)}
    group = {p.id: p for p in answer(demo, "output-shafts-group", given=given, state="dry").parts}
    section = {p.id: p for p in answer(demo, "differential-section", given=given, state="dry").parts}

    def x(part: object) -> float:
        centre = part.centre  # type: ignore[attr-defined]
        assert centre is not None
        return round(1000 * centre[0], 6)

    assert x(group["front-output-shaft"]) == 400 - length / 2
    assert x(group["front-output-flange"]) == -270 - (length - 620)
    assert x(group["front-output-bearing"]) == -130
    assert x(section["front-extension-tube"]) == -130 - (length - 620) / 2


def test_the_usual_build_stays_as_it_was_weighed(demo: Collection) -> None:
    """Shapes beside weighings are cross-checks: they move neither the figure nor what is planned with."""
    section = answer(demo, "differential-section", state="dry").headline
    box = answer(demo, "transfer-box", state="dry").headline
    gear = answer(demo, "gear-section", state="dry").headline

    assert (section.best, section.low, section.high) == (
        Fraction("447.226"),
        Fraction("443.446"),
        Fraction("451.006"),
    )
    assert section.planning == Fraction("451.006")
    # the weighed whole, 844.0 kg drained by 1.0 kg, less the 2.5 L that stay, by 1.5 L, at 0.87 kg/L
    assert (box.low, box.high) == (
        Fraction("844") - 1 - 4 * Fraction("0.87"),
        Fraction("845") - Fraction("0.87"),
    )
    # what is known of the gear section, and what the whole leaves for the drive that nobody weighed
    assert (gear.low, gear.high) == (Fraction("385.28"), Fraction("397.67"))
    assert [named.id for named in gear.unknown] == ["auxiliary-drive"]
    case = answer(demo, "differential-case", state="dry").headline
    assert case.planning == Fraction("134.5")


def test_the_brake_is_an_option(demo: Collection) -> None:
    there = answer(demo, "differential-section", state="dry")
    gone = answer(demo, "differential-section", given={"brake": "no"}, state="dry")

    assert there.headline.best - gone.headline.best == Fraction("31.1")
    assert "parking-brake" not in {part.id for part in gone.parts}
    first = gone.build[0]
    assert (first.name, first.text, first.unit) == ("brake", "no", "")


def test_named_builds(demo: Collection) -> None:
    for code in ("transfer-box", "differential-section"):
        component = demo.components[code]
        assert named_build(component, "long frame") == {"length": Fraction("0.78")}
        build = build_for_serial(component, 1187)
        assert build is not None
        assert build.name == "short frame"
    given = named_build(demo.components["differential-section"], "long frame")
    assert f"{best(demo, 'differential-section', **given):.1f}" == "465.2"


def test_every_part_of_the_box_but_those_weighed_only_has_its_shape(demo: Collection) -> None:
    box = set(_parts(demo, "transfer-box"))
    shaped = {c.id for c in demo.components.values() if any(m.shape is not None for m in c.masses)}

    assert box - shaped == WEIGHED_ONLY
    assert shaped - box == set()


def _parts(demo: Collection, code: str) -> list[str]:
    component = demo.components[code]
    if component.fluid is not None:
        return []
    below = [part for line in component.parts for part in _parts(demo, line.component)]
    return below if component.parts else [code]


def test_every_shape_goes_with_the_figure_beside_it(demo: Collection) -> None:
    """Half of the last digit that was printed, castings to a kilogram; the pipe and the bolt are the finest."""
    compared = 0
    for component in demo.components.values():
        found = witnesses(demo, component)
        shapes = [w for w in found if w.from_shape]
        printed = [w for w in found if w.worked_in is None and w.chosen]
        if shapes and printed:
            compared += 1
            step = 1.0 if shapes[0].kind.id.endswith("casting") else 0.1
            assert float(shapes[0].mass.best) == pytest.approx(float(printed[0].mass.best), abs=step / 2)
    assert compared == 39


def test_the_auxiliary_drive_is_inferred_and_its_hint_stays_a_hint(demo: Collection) -> None:
    found = answer(demo, "auxiliary-drive", state="dry")
    (hint,) = found.statements

    assert [named.id for named in found.headline.unknown] == ["auxiliary-drive"]
    assert (found.headline.low, found.headline.high) == (Fraction("12.74"), Fraction("31.81"))
    assert not hint.chosen
    assert (round(float(hint.low)), round(float(hint.high))) == (19, 25)


def test_no_rule_of_families_has_anything_to_say(demo: Collection) -> None:
    ours = {
        "build-offered",
        "not-handed-down",
        "likely-size-slip",
        "statements-apart",
        "worked-figure",
        "build",
    }

    assert [str(f) for f in check(demo) if f.rule in ours | {"quantity", "place"}] == []


def test_a_sweep_of_the_section(demo: Collection) -> None:
    rows = sweep(demo, "differential-section", "length", Held("dry"))

    assert [row.text for row in rows] == ["620 mm", "780 mm", "940 mm"]
    assert [f"{float(row.figure.best):.1f}" for row in rows if row.figure] == ["447.2", "465.2", "483.1"]
    assert [round(1000 * row.figure.centre[0]) for row in rows if row.figure and row.figure.centre] == [
        450,
        417,
        381,
    ]
