"""The particulars of notes by kind, and a status that somebody stands for."""

from __future__ import annotations

import pytest

from handling_db.files.folders import records_text
from handling_db.files.reading import read_texts
from handling_db.records.kinds.note import NOTE_KINDS, Note
from handling_db.records.parts.note_facts import FACTS_OF_KIND, NoteFacts, words_of
from handling_db.records.written import written

NOTE = {
    "note": "n",
    "about": {"component": "unit"},
    "kind": "turn",
    "text": "Goes over by itself.",
    "told by": "shop",
    "author": "fitter",
    "on": "2026-03-09",
    "status": "draft",
}
VALUES = {
    "angle": "90 deg", "balance angle": "51 deg", "count": "4", "hooks": "2", "people": "2", "studs": "2",
    "hidden": "yes", "oil out first": "no", "length": "150 mm", "room": "300 mm", "travel": "12 mm",
    "litres in": "24 L", "litres out": "21.5 L", "mass": "47 kg", "rating": "none", "put in on": "2026-03-09",
    "position": ["1 mm", "2 mm", "3 mm"], "centre": ["1 mm", "2 mm", "3 mm"], "blocked by": ["a"],
    "listed in": ["book"], "together": ["a", "b"], "alternatives": ["the other way round"],
}  # fmt: skip


def test_every_kind_has_its_particulars_and_every_particular_a_kind():
    assert set(FACTS_OF_KIND) == set(NOTE_KINDS)
    assert {name for names in FACTS_OF_KIND.values() for name in names} == set(NoteFacts.model_fields)


@pytest.mark.parametrize("kind", NOTE_KINDS)
def test_a_note_with_all_its_particulars_reads_back_the_same(kind):
    facts = {name: VALUES.get(name, "some words") for name in words_of(kind)}
    note = Note.model_validate({**NOTE, "kind": kind, "facts": facts})

    again = read_texts([("n.yml", records_text([note]))]).collection.notes["n"]

    assert written("note", again) == written("note", note)
    assert written("note", note)["facts"] == facts


@pytest.mark.parametrize("kind", NOTE_KINDS)
def test_a_particular_of_another_kind_is_refused(kind, refusal):
    other = next(name for name in ("balance angle", "litres in") if name not in words_of(kind))

    ((where, told),) = refusal(Note, {**NOTE, "kind": kind, "facts": {other: VALUES[other]}})

    assert where == ""
    assert told.startswith(f"{other!r} under 'facts' does not belong to a note of kind {kind!r}; it has: ")


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        (
            {"status": "accepted"},
            "'status: accepted' needs 'checked by': write whose role looked, or make it a draft",
        ),
        (
            {"status": "checked"},
            "'status: checked' needs 'checked by': write whose role looked, or make it a draft",
        ),
        ({"status": "doubtful"}, "'status: doubtful' needs 'reason': write why, in a sentence"),
        ({"status": "withdrawn"}, "'status: withdrawn' needs 'reason': write why, in a sentence"),
        ({"replaces": "n"}, "a note cannot replace itself; give the new one an id of its own"),
    ],
)
def test_somebody_stands_for_its_status(fields, told, refusal):
    assert refusal(Note, {**NOTE, **fields}) == [("", told)]
    assert (
        refusal(Note, {**NOTE, **fields, "checked by": "foreman", "reason": "Seen.", "replaces": "m"}) == []
    )
