"""Sources, their kinds, notes, fixtures, movers and shops."""

from __future__ import annotations

import itertools

import pytest

from handling_db.records.collection import KINDS, Lines, collect
from handling_db.records.kinds.note import NOTE_KINDS, Note
from handling_db.records.kinds.source import SourceKind
from handling_db.records.kinds.workplace import Fixture, Shop

KIND = {"source kind": "weighed", "name": "Weighed", "rank": "1", "basis": "Common practice, no source."}


@pytest.mark.parametrize("name", ["rank", "percent", "below percent", "above percent", "steps"])
@pytest.mark.parametrize("wrong", ["first", "1,5", "-1", "1e3", "５", "."])
def test_numbers_of_a_kind_of_source_are_plain(name, wrong, refusal):
    assert refusal(SourceKind, {**KIND, name: wrong}) == [
        ("", f"'{name}' must be a plain number, not {wrong!r}")
    ]
    assert refusal(SourceKind, {**KIND, name: "1.5"}) == []


def test_whether_a_kind_may_be_handed_upward(refusal):
    assert refusal(SourceKind, {**KIND, "chosen": "perhaps"}) == [("", "'chosen' is yes, hint, last or no")]
    assert all(refusal(SourceKind, {**KIND, "chosen": word}) == [] for word in ("yes", "hint", "no"))


NOTE = {
    "note": "n1",
    "about": {"component": "unit"},
    "kind": "stored energy",
    "text": "Spring under load.",
    "told by": "shop",
    "author": "foreman",
    "on": "2026-03-09",
    "status": "draft",
    "checked by": "fitter",
}


@pytest.mark.parametrize("kind", NOTE_KINDS)
def test_every_kind_of_note(kind, refusal):
    assert refusal(Note, {**NOTE, "kind": kind}) == []


def test_a_note_names_one_thing_a_day_a_role_and_its_standing(refusal):
    assert refusal(Note, {**NOTE, "about": {"component": "a", "fixture": "b"}}) == [
        (
            "about",
            "a note is about exactly one thing; write one of: "
            "component, joint, tie, lift group, pick point, fixture",
        )
    ]
    for name in ("note", "about", "kind", "text", "told by", "author", "on", "status"):
        without = {key: value for key, value in NOTE.items() if key != name}
        assert refusal(Note, without) == [(name, "Field required")]


PAPERS = {
    "drawing": "D-12",
    "material": "S355",
    "design checked by": "engineer",
    "proof load": "750 kg",
    "proof on": "2026-01-15",
    "inspection due": "2027-01-15",
}
STAND = {"fixture": "stand", "name": "Stand", "kind": "stand"}


def standing(**fields):
    return Fixture.model_validate({**STAND, **fields}).standing


def test_bought_gear_is_rated_by_its_rated_load():
    assert standing() == "no rating recorded"
    assert standing(**{"rated load": "500 kg"}) == "rated"
    assert standing(**{"rated load": "500 kg", "shop made": "no"}) == "rated"


def test_shop_made_gear_is_rated_only_with_all_its_papers():
    """Common practice, no source."""
    rated = {"rated load": "500 kg", "shop made": "yes"}

    assert standing(**rated, **PAPERS) == "rated"
    for count in range(len(PAPERS)):
        for names in itertools.combinations(PAPERS, count):
            assert standing(**rated, **{name: PAPERS[name] for name in names}) == "seen in use, no rating"
    assert standing(**{"shop made": "yes"}, **PAPERS) == "seen in use, no rating"


def test_a_shop_has_its_own_first_unit(refusal):
    assert Shop.model_validate({"shop": "a", "name": "A"}).first_unit == "kg"
    assert refusal(Shop, {"shop": "a", "name": "A", "first unit": "t"}) == [
        ("first unit", "Input should be 'kg' or 'lb'")
    ]


def test_a_collection_keeps_the_first_of_two_and_sorts_by_kind_and_id():
    one, two, other = (
        Shop.model_validate({"shop": code, "name": name})
        for code, name in (("b", "First"), ("b", "Second"), ("a", "Other"))
    )
    note = Note.model_validate(NOTE)

    gathered = collect([("shop", one), ("shop", two), ("note", note), ("shop", other)])

    assert [(kind, record.id) for kind, record in gathered.records()] == [
        ("note", "n1"),
        ("shop", "a"),
        ("shop", "b"),
    ]
    assert gathered.of_kind("shop")["b"].name == "First"
    assert gathered.place("shop", "b") is None
    assert all(gathered.of_kind(kind) is not None for kind in KINDS)


def test_the_place_of_a_field_is_its_line_or_that_of_what_is_around_it():
    lines = Lines("a.yml", {(): 3, ("parts",): 5, ("parts", 0): 6})
    gathered = collect([], {("component", "unit"): lines})

    assert str(gathered.place("component", "unit", "parts", 0, "quantity")) == "a.yml:6"
    assert str(gathered.place("component", "unit", "parts", 1)) == "a.yml:5"
    assert str(gathered.place("component", "unit", "name")) == "a.yml:3"
    assert str(gathered.place("component", "unit")) == "a.yml:3"
