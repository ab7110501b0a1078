"""Records of other shops that wait, and why; each case of these turned an answer before."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.files.folders import data_folder, read_collection
from handling_db.files.reading import read_texts
from handling_db.records.collection import collect
from handling_db.records.waiting import reasons_to_wait, squashed

DEMO = read_collection([data_folder() / "demo"]).collection
SCALE = "- {source: their-scale, name: Theirs, kind: weighed}\n"


def why(text: str) -> dict[str, str]:
    """What waits of these records beside the demo, and why."""
    reading = read_texts([("theirs.yml", text)])
    assert not reading.findings, [str(finding) for finding in reading.findings]
    theirs = [(kind, record) for kind, record in reading.collection.records()]
    together = collect([*DEMO.records(), *theirs])
    reasons = reasons_to_wait(together, [(kind, record.id) for kind, record in theirs])
    return {record_id: reason for (_, record_id), reason in reasons.items()}


@pytest.mark.parametrize(
    ("head", "name"),
    [
        ("component: rear half\n  name: Bracket", "rear half"),
        ("component: Rear-Half\n  name: Bracket", "Rear-Half"),
        ("component: theirs\n  name: Differential  Section", "Differential  Section"),
        ("component: theirs\n  name: Bracket\n  also called: [rear half]", "rear half"),
        ("component: theirs\n  name: Bracket\n  part number: differential section", "differential section"),
        ("component: theirs\n  name: Bracket\n  also called: [Differential-Section]", "Differential-Section"),
    ],
)
def test_a_name_of_ours_waits(head: str, name: str) -> None:
    found = why(SCALE + f"- {head}\n  kind: part\n  masses: [{{printed: 95 kg, source: their-scale}}]\n")

    (reason,) = found.values()
    assert reason == f"It goes by {name!r}, and so does our component differential-section."


@pytest.mark.parametrize(
    ("record", "reason"),
    [
        (
            "mover: big-forklift\n  name: Forklift\n  kind: forklift\n  shop: quay-shed-nine\n  rated: 9000 kg",
            "A mover counts for lifts and moves of ours.",
        ),
        ("shop: aaa\n  name: Theirs\n  first unit: lb", "A shop counts for lifts and moves of ours."),
        (
            "fixture: their-stand\n  name: Stand\n  kind: stand\n  needed by: [{component: gear-section, for: parking}]",
            "It names our component gear-section.",
        ),
        (
            "gear: their-sling\n  name: Sling\n  kind: chain sling\n  shop: quay-shed-nine",
            "It names our shop quay-shed-nine.",
        ),
        (
            "joint: theirs\n  name: Joint\n  within: transfer-box\n  between: [gear-section, differential-section]",
            "It names our component differential-section.",
        ),
        (
            "lift group: theirs\n  name: Up\n  root: transfer-box\n  takes: [[gear-section]]",
            "It names our component gear-section.",
        ),
        (
            "weighing: theirs\n  of: gear-section\n  gross: 5 kg\n  tare: none\n  checked by: fitter\n"
            "  source: their-scale\n  on: 2026-11-20\n  by: fitter",
            "It would count as a mass of Gear section.",
        ),
        (
            "note: theirs\n  about: {component: gear-section}\n  kind: protect\n  text: Nothing holds it.\n"
            "  told by: shop\n  author: fitter\n  on: 2026-11-20\n  status: draft",
            "It names our component gear-section.",
        ),
    ],
)  # fmt: skip
def test_what_names_something_of_ours_waits(record: str, reason: str) -> None:
    assert why(f"{SCALE}- {record}\n") == {record.split("\n")[0].split(": ")[1]: reason}


def test_what_builds_on_a_record_that_waits_waits_too() -> None:
    text = """
- {source: their-scale, name: Theirs, kind: weighed}
- {component: rear half, name: Bracket, kind: part}
- {component: their-unit, name: Their unit, kind: assembly, parts: [{component: rear half, quantity: 1}]}
- {component: their-line, name: Their line, kind: assembly, parts: [{component: their-unit, quantity: 1}]}
- {component: their-pin, name: Their pin, kind: part}
- {component: their-box, name: Their box, kind: assembly, parts: [{component: nowhere, quantity: 1}]}
"""
    assert why(text) == {
        "rear half": "It goes by 'rear half', and so does our component differential-section.",
        "their-unit": "It names component rear half, which waits.",
        "their-line": "It names component their-unit, which waits.",
        "their-box": "It lists component nowhere, which is not here.",
    }


def test_a_tree_of_their_own_is_in_force() -> None:
    text = """
- {source: their-scale, name: Theirs, kind: weighed}
- {component: their-pin, name: Their pin, kind: part, masses: [{printed: 5 kg, source: their-scale}]}
- {component: their-unit, name: Their unit, kind: assembly, parts: [{component: their-pin, quantity: 2}]}
"""
    assert why(text) == {}


def test_with_nothing_of_ours_to_lift_a_shop_is_in_force() -> None:
    theirs = read_texts([("a.yml", "- {shop: aaa, name: Theirs}\n")]).collection

    assert reasons_to_wait(theirs, [("shop", "aaa")]) == {}


@pytest.mark.parametrize(
    ("one", "two"),
    [("Rear half", "rear-half"), ("200.17", "20017"), ("Ｒear half", "rear half"), ("--", "--")],
)
def test_names_as_people_type_them(one: str, two: str) -> None:
    assert squashed(one) == squashed(two)


def test_what_an_older_program_took_in_is_held_back_too(tmp_path: Path) -> None:
    """The forklift stands in the folder as taken, in force; reading the folder puts it aside."""
    from handling_db.files.yaml_text import dump_text
    from handling_db.records.kinds.origin import mark_id
    from handling_db.records.written import version, written

    (tmp_path / "own.yml").write_text(
        "- {shop: quay, name: Quay}\n- {component: case, name: Case, kind: part}\n"
    )
    head = "- {mover: big, name: Forklift, kind: forklift, shop: quay, rated: 9000 kg}\n"
    mover = read_texts([("m.yml", head)]).collection.movers["big"]
    stamp = version("mover", mover)
    origin = {
        "origin": mark_id("mover", "big", stamp), "of": {"kind": "mover", "id": "big", "version": stamp},
        "shop": "far-shed", "parcel": "0123456789abcdef", "on": "2026-11-01",
    }  # fmt: skip
    (tmp_path / "taken.yml").write_text(dump_text([written("mover", mover), origin]))

    collection = read_collection([tmp_path], reference=False).collection

    assert collection.movers == {}
    (aside,) = collection.asides.values()
    assert (aside.shop, aside.of.id) == ("far-shed", "big")
    assert str(collection.place("aside", aside.aside)).endswith("taken.yml:1")
