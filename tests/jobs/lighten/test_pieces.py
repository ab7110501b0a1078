"""What may come off: pieces one by one, assemblies and recorded lifts in one act, and what is behind what."""

from __future__ import annotations

import datetime
from fractions import Fraction

from handling_db.jobs.lighten.answer import lighten_answer
from handling_db.jobs.lighten.asked import LightenQuestion
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.jobs.lighten.words import lighten_text
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

DAY = datetime.date(2026, 11, 25)


def leaf(name: str, kg: float, more: str = "") -> str:
    return (
        f"- component: {name}\n  name: {name.title()}\n  kind: part\n{more}"
        f"  masses: [{{printed: {kg} kg, plus or minus: 0.5 kg, source: scale}}]\n"
    )


def unit(*parts: str, records: str) -> str:
    lines = "".join(f"    - {part}\n" for part in parts)
    return f"{SCALE}- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: all\n  parts:\n{lines}{records}"


def ask(text: str | Collection, under: float, **given: object) -> LightenAnswer:
    records = collection(text) if isinstance(text, str) else text
    question = LightenQuestion(what="unit", under_kg=Fraction(under), as_of=DAY, **given)  # type: ignore[arg-type]
    return lighten_answer(records, question)


def shown(answer: LightenAnswer) -> list[list[str]]:
    return [[one.id for one in option.off] for option in answer.options]


def test_alike_pieces_come_off_one_by_one() -> None:
    """Ten weights of 20 kg on a frame of 30: 235.5 at most; three weights off leave 174, the frame off 205."""
    text = unit(
        "{component: frame, quantity: 1}",
        "{component: weight, quantity: 10}",
        records=leaf("frame", 30) + leaf("weight", 20, "  holds in: none\n  checked by: me\n"),
    )
    answer = ask(text, 180, shop=None)

    assert answer.fewest == 3
    assert shown(answer)[0] == ["weight"] * 3
    assert answer.options[0].rest.asked_kg == 30.5 + 7 * 20.5


def box(more: str = "") -> str:
    return BOX.replace("MORE", more)


BOX = (
    "- component: gearbox\n  name: Gearbox\n  kind: assembly\n  parts listed: all\nMORE  parts:\n"
    "    - {component: case, quantity: 1}\n    - {component: wheel, quantity: 1}\n"
    + leaf("case", 60)
    + leaf("wheel", 50)
    + leaf("frame", 100)
)
PARTS = ("{component: frame, quantity: 1}", "{component: gearbox, quantity: 1}")


def test_an_assembly_is_one_where_a_record_treats_it_as_one() -> None:
    as_one = unit(*PARTS, records=box("  attitudes: [{id: up, name: as it stands}]\n"))
    loose = unit(*PARTS, records=box())

    assert ask(as_one, 101).fewest == 1
    assert shown(ask(as_one, 101)) == [["gearbox"]]
    assert ask(loose, 101).fewest == 2


def test_a_recorded_lift_of_several_is_one_act() -> None:
    text = unit(*PARTS, records=box()) + (
        "- lift group: wheel-and-frame\n  name: Wheel and frame\n  root: unit\n"
        "  takes: [[gearbox, wheel], [frame]]\n"
    )
    answer = ask(text, 61)

    assert shown(answer) == [["wheel-and-frame"]]
    assert [lift.id for lift in answer.options[0].off[0].lifts] == ["wheel-and-frame"]


def test_a_lift_of_another_unit_that_takes_more_is_no_act() -> None:
    text = (
        unit(*PARTS, records=box())
        + "- component: machine\n  name: Machine\n  kind: assembly\n  parts listed: all\n  parts:\n"
        "    - {component: unit, quantity: 1}\n    - {component: cab, quantity: 1}\n"
        + leaf("cab", 300)
        + "- lift group: cab-and-wheel\n  name: Cab and wheel\n  root: machine\n"
        "  takes: [[cab], [unit, gearbox, wheel]]\n"
        "- lift group: gears\n  name: Gears\n  root: machine\n  takes: [[unit, gearbox]]\n"
    )

    assert shown(ask(text, 101)) == [["gearbox"]]  # taken in a lift: recorded to come off as one
    assert "cab-and-wheel" not in lighten_text(ask(text, 101))


def test_what_is_off_already_by_the_job_is_not_taken_off_again(demo: Collection) -> None:
    answer = lighten_answer(
        demo,
        LightenQuestion(what="section-off-the-truck", hoist="tarrowby-jib", job="qsn-1187", as_of=DAY),
    )

    assert answer.job == "qsn-1187"
    assert answer.now.asked_kg is not None
    assert answer.now.asked_kg < 400.0  # front kit and caliper are off
    assert {name for one in answer.left_on for name in one.names} >= {"Parking brake caliper"}
