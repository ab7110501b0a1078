"""Any two components joined: refused with nothing written, or every record reads and can be checked."""

from __future__ import annotations

import datetime
import random
from pathlib import Path

import pytest

from handling_db.checker import check
from handling_db.checker.rules import references
from handling_db.checker.rules.handling import job_plans, lifting, moving
from handling_db.errors import HandlingError
from handling_db.files.joined import _ID_FIELDS, joined
from handling_db.findings import Verdict
from handling_db.records.collection import collect
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.origin import Pairing
from handling_db.records.written import written
from handling_db.sharing.compare import compare
from handling_db.sharing.pairing import pair, refuse
from handling_db.sharing.review import Grounds
from handling_db.sharing.take_in import own_collection
from tests.from_text import SCALE, collection

DAY = datetime.date(2026, 11, 25)
GROUNDS = Grounds("foreman", "Seen.", DAY)


def pairing(keep, same, number=1):
    return Pairing(pairing=f"p{number}", keep=keep, same=same, by="foreman", on=DAY, reason="Seen.")


def with_pairings(own, *pairings):
    return collect([*own.records(), *(("pairing", one) for one in pairings)], own.lines)


def why_not(own, keep, same):
    with pytest.raises(HandlingError) as refused:
        refuse(own, pairing(keep, same, 9))
    return str(refused.value)


@pytest.fixture(scope="module")
def demo_as_written(demo_folder):
    return own_collection(demo_folder)


@pytest.mark.slow
@pytest.mark.parametrize("_", range(8))
def test_any_two_of_the_demo_are_refused_or_read_and_checked(demo_as_written, _):
    own = demo_as_written
    seed = random.SystemRandom().randrange(2**32)
    keep, same = random.Random(seed).sample(sorted(own.components), 2)
    told = f"{same} as {keep}"

    together, unreadable = joined(with_pairings(own, pairing(keep, same)))
    for kind, record in together.records():
        assert type(record).model_validate(written(kind, record)) == record, told
    faults = [*unreadable, *(one for one in check(together) if one.verdict is Verdict.FAULT)]
    if not faults:
        refuse(own, pairing(keep, same))
        assert same not in together.components, told
        return
    refused = why_not(own, keep, same)
    assert all(str(fault) in refused for fault in faults), told
    assert all(fault.place is not None for fault in faults), told
    if unreadable:
        assert dict(together.components) == dict(own.components), told


@pytest.mark.slow
@pytest.mark.parametrize(
    ("keep", "same", "told"),
    [
        ("gear-section", "differential-section", "joints.yml:3: "),
        ("gear-section", "gear-case", "gear-section contains gear-section: nothing can contain itself;"),
        ("gear-case", "gear-section", "parts: with 'gear-case' for 'gear-section', component gear-section "
         "cannot stand as written: 'gear-case' is in it: nothing can contain itself."),
        ("ferry-wheel", "transfer-box", "its parts would be in no total, as 'ferry-wheel' lists none; keep 'transfer-box'"),
        ("oil-pump", "oil-charge", "it is of kind fluid and 'oil-pump' of kind part."),
        ("oil-charge", "oil-pump", "a fluid's mass is its litres times its density; it has no parts and no masses"),
        ("parking-brake-disc", "front-output-shaft", "'length' is neither a unit nor a parameter"),
    ],
)  # fmt: skip
def test_what_could_not_be_read_is_refused_before_anything_is_written(keep, same, told, demo_copy):
    before = sorted((file, file.read_bytes()) for file in demo_copy.rglob("*.yml"))

    with pytest.raises(HandlingError) as refused:
        pair(demo_copy, keep, same, GROUNDS, lambda: "p1")

    assert told in str(refused.value)
    assert f"'{same}' is not joined to '{keep}' and nothing is written" in str(refused.value)
    assert sorted((file, file.read_bytes()) for file in demo_copy.rglob("*.yml")) == before


@pytest.fixture
def demo_copy(demo_folder, tmp_path):
    import shutil

    return Path(shutil.copytree(demo_folder, tmp_path / "records"))


PARTS = (
    SCALE
    + "".join(
        f"- {{component: {code}, name: The {code}, kind: part, masses: [{{printed: {kg} kg, source: scale}}]}}\n"
        for code, kg in (("one", 12), ("two", 12.5), ("other", 3), ("loose", 5))
    )
    + "- {component: box, name: Box, kind: assembly, parts: [{component: one, quantity: 1}, "
    "{component: two, quantity: 1}, {component: other, quantity: 1}]}\n"
)
JOINT = "- {joint: seam, name: Seam, within: box, between: [one, two]}\n"
HOLDS = "- {component: plug, name: Plug, kind: part, holds in: [{part: other}]}\n"


def test_a_pairing_that_makes_a_joint_of_one_thing_is_told_where_it_stands_and_not_carried_out():
    mark = "- {pairing: p, keep: one, same: two, by: foreman, on: 2026-11-25, reason: Seen.}\n"
    text = PARTS + mark + JOINT
    read = collection(text)
    line = text.splitlines().index(mark.strip()) + 1

    together, (fault,) = joined(read)

    assert str(fault) == (
        f"records.yml:{line}: same: with 'one' for 'two', joint seam (records.yml:{line + 1}) cannot stand as written: "
        "'between' names the two sides; they cannot be the same. If the two are two things, take the pairing "
        "out; if they are one, correct the record first."
    )
    assert dict(together.components) == dict(read.components)
    assert together.joints["seam"].between == ("one", "two")


def test_of_several_pairings_those_that_read_are_carried_out():
    own = collection(PARTS + JOINT + HOLDS)
    pairings = (pairing("one", "two"), pairing("other", "loose", 2), pairing("plug", "other", 3))

    together, told = joined(with_pairings(own, *pairings))

    assert {one.about for one in told} == {"seam", "plug"}
    assert {"one", "two", "plug", "other"} <= together.components.keys()
    assert "loose" not in together.components


def test_through_a_third_id_the_sides_of_a_joint_are_told_as_well():
    own = collection(PARTS + JOINT)

    together, told = joined(with_pairings(own, pairing("loose", "one"), pairing("loose", "two", 2)))

    assert {one.about for one in told} == {"seam"}
    assert together.joints["seam"].between == ("one", "two")
    assert "joint seam cannot stand as written" in why_not(
        with_pairings(own, pairing("loose", "one")), "loose", "two"
    )


def test_what_a_figure_of_the_one_that_goes_counts_goes_by_the_id_that_is_kept():
    whole = (
        "- {component: crate, name: Crate, kind: assembly, parts: [{component: two, quantity: 1}],"
        " masses: [{printed: 13 kg, source: scale, counts: [two]}]}\n"
    )
    own = collection(PARTS + whole)

    together, told = joined(with_pairings(own, pairing("one", "two"), pairing("box", "crate", 2)))

    assert told == ()
    assert together.components["box"].masses[0].counts == ("one",)


def test_what_would_do_nothing_is_refused():
    own = with_pairings(collection(PARTS), pairing("other", "loose"))

    assert why_not(own, "other", "loose").endswith("are joined already; there is nothing to join")
    assert why_not(own, "loose", "other").endswith("are joined already; there is nothing to join")
    assert why_not(own, "one", "loose").startswith(
        "'loose' is joined to 'other' already; join 'one' and 'other'"
    )
    with pytest.raises(HandlingError, match=r"^by: "):
        Grounds("", "Seen.", DAY).put_into(Pairing, pairing="p", keep="one", same="two")


def test_a_joint_from_elsewhere_between_two_ids_of_one_thing_waits():
    own = with_pairings(collection(PARTS), pairing("one", "loose"))
    sent = {"joint": "seam", "name": "Seam", "within": "crate", "between": ["one", "loose"]}
    crate = collection(
        PARTS
        + "- {component: crate, name: Crate, kind: assembly, parts: [{component: one, quantity: 1}, {component: loose, quantity: 1}]}\n"
    )
    joint = ("joint", Joint.model_validate(sent))

    (one,) = [one for one in compare(own, collect([*crate.records(), joint])) if one.kind == "joint"]

    assert one.waits


def test_every_field_that_names_a_component_is_known_to_what_puts_one_id_for_another():
    tables = [*references.NAMED.values(), *lifting.NAMED.values(), *moving.NAMED.values(), job_plans.NAMED]
    named = [row.split(" = ") for table in tables for row in table.split("; ")]
    fields = {path.removesuffix(".*").split(".")[-1] for path, kind in named if kind == "component"}

    assert fields
    assert fields <= _ID_FIELDS
