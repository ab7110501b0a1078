"""The laws of taking records in: twice, in any order, through any shop, the same versions come together."""

from __future__ import annotations

import datetime
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.files.folders import reference_folder
from handling_db.files.reading import read_texts
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.choice import Choice
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.note import Note
from handling_db.records.kinds.origin import Of, Review
from handling_db.records.kinds.source import Source
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.versions import Wait, chosen, in_force, questions, versions
from handling_db.records.written import version
from handling_db.sharing.compare import Came, VersionStanding, additions, compare
from tests.merging import merged, take

DAY = datetime.date(2026, 11, 25)
KINDS = [
    *read_texts([("kinds.yml", (reference_folder() / "source-kinds.yml").read_text())]).collection.records()
]
SCALE = ("source", Source.model_validate({"source": "scale", "name": "Scale", "kind": "weighed"}))


def component(code, name="Case", *masses):
    listed = [{"printed": f"{kg} kg", "plus or minus": "0.5 kg", "source": "scale"} for kg in masses]
    return "component", Component.model_validate(
        {"component": code, "name": name, "kind": "part", "masses": listed}
    )


def weighing(code, of, kg):
    fields = {"weighing": code, "of": of, "gross": f"{kg} kg", "tare": "none", "checked by": "fitter"}
    more = {"plus or minus": "0.1 kg", "source": "scale", "on": "2026-11-24", "by": "fitter"}
    return "weighing", Weighing.model_validate({**fields, **more, "state": "dry"})


def note(code, of="case", text="Mind the edge."):
    fields = {"note": code, "about": {"component": of}, "kind": "protect", "text": text, "told by": "shop"}
    return "note", Note.model_validate({**fields, "author": "fitter", "on": "2026-11-24", "status": "draft"})


def held(*records):
    return collect([*KINDS, SCALE, *records])


def came(shop):
    return Came(shop, f"parcel-of-{shop}", DAY)


def stamps(collection: Collection):
    """Every version of every record, by key."""
    return {key: frozenset(found) for key, found in versions(collection).items()}


def standing(collection: Collection):
    """What is in force, by key and version."""
    return {
        (kind, record.id): version(kind, record)
        for kind, record in collection.records()
        if kind not in ("origin", "aside", "review", "pairing")
    }


RECORDS = st.one_of(
    st.builds(
        component,
        st.sampled_from(["case", "cover"]),
        st.sampled_from(["Case", "Cover", "Lid"]),
        st.sampled_from([10, 12]),
    ),
    st.builds(weighing, st.sampled_from(["w1", "w2"]), st.sampled_from(["case", "cover"]), st.just(10)),
    st.builds(note, st.sampled_from(["n1", "n2", "n3"]), st.sampled_from(["case", "cover"])),
)
SHOPS = st.lists(RECORDS, max_size=5).map(lambda records: held(*records))
# Where no two shops write one record differently, what is in force does not depend on the order either.
PEACEFUL = st.lists(
    st.sampled_from(
        [
            component("case"),
            component("cover", "Cover"),
            weighing("w1", "case", 10),
            note("n1"),
            note("n2", "cover"),
        ]
    ),
    max_size=5,
).map(lambda records: held(*records))


@settings(max_examples=24, deadline=None)
@given(own=SHOPS, sent=SHOPS)
def test_taking_twice_is_taking_once(own, sent):
    once = take(own, sent, came("b"))
    again = take(once, sent, came("b"))

    assert {one.standing for one in compare(once, sent)} <= {VersionStanding.SAME}
    assert list(again.records()) == list(once.records())


@settings(max_examples=24, deadline=None)
@given(own=SHOPS, one=SHOPS, two=SHOPS)
def test_in_any_order_the_same_versions_come_together(own, one, two):
    first = take(take(own, one, came("b")), two, came("c"))
    second = take(take(own, two, came("c")), one, came("b"))

    assert stamps(first) == stamps(second)


@pytest.mark.slow
@settings(max_examples=24, deadline=None)
@given(own=SHOPS, one=SHOPS, two=SHOPS)
def test_through_another_shop_the_same_versions_come(own, one, two):
    direct = take(take(own, one, came("b")), two, came("c"))
    through = take(own, take(two, one, came("b")), came("c"))

    assert stamps(direct) == stamps(through)


@settings(max_examples=24, deadline=None)
@given(own=PEACEFUL, one=PEACEFUL, two=PEACEFUL)
def test_without_two_opinions_the_order_makes_no_difference_to_anything_in_force(own, one, two):
    first = take(take(own, one, came("b")), two, came("c"))
    second = take(take(own, two, came("c")), one, came("b"))

    assert standing(first) == standing(second)


@settings(max_examples=24, deadline=None)
@given(own=SHOPS, sent=SHOPS)
def test_nothing_that_was_in_force_here_changes_by_taking(own, sent):
    after = take(own, sent, came("b"))

    assert standing(own).items() <= standing(after).items()


@settings(max_examples=24, deadline=None)
@given(own=SHOPS, sent=SHOPS)
def test_what_is_in_force_follows_from_what_is_there(own, sent):
    once = take(own, sent, came("b"))

    assert list(in_force(once).records()) == list(once.records())


def review(kind, code, stamp, decision="accept", over=(), on=DAY, number=1):
    return (
        "review",
        Review(
            review=f"{number:036d}",
            of=Of(kind=kind, id=code, version=stamp),
            decision=decision,
            over=over,
            by="foreman",
            on=on,
            reason="Looked.",
        ),
    )


def test_two_versions_of_a_component_stay_side_by_side_until_a_person_chooses():
    own = held(component("case", "Case", 10))
    sent = held(component("case", "Case", 10, 11))

    after = take(own, sent, came("b"))

    assert after.components["case"] == own.components["case"]
    (question,) = questions(after)
    assert (question.wait, question.shop) == (Wait.OTHER, "b")
    theirs = version("component", sent.components["case"])
    mine = version("component", own.components["case"])
    settled = merged(after, [review("component", "case", theirs, over=(mine,))])
    assert settled.components["case"] == sent.components["case"]
    assert questions(settled) == ()
    assert stamps(settled) == stamps(after), "nothing is lost by choosing"


def test_a_refused_version_stays_out_and_does_not_come_back():
    own = held(component("case"))
    sent = held(weighing("w1", "case", 30))
    after = take(own, sent, came("b"))
    stamp = version("weighing", sent.weighings["w1"])

    settled = merged(after, [review("weighing", "w1", stamp, "refuse")])

    assert "w1" not in settled.weighings
    assert questions(settled) == ()
    assert "w1" not in take(settled, sent, came("c")).weighings
    assert questions(take(settled, sent, came("c"))) == ()


def test_refusing_what_came_into_force_at_once_takes_it_out_and_keeps_it():
    own = held()
    sent = held(component("case"), weighing("w1", "case", 30))
    after = take(own, sent, came("b"))
    assert "w1" in after.weighings
    stamp = version("weighing", sent.weighings["w1"])

    settled = merged(after, [review("weighing", "w1", stamp, "refuse")])

    assert "w1" not in settled.weighings
    assert stamps(settled) == stamps(after)


def test_the_last_review_counts_and_an_edit_here_after_it_counts_more():
    mine, theirs, edited = "1" * 32, "2" * 32, "3" * 32
    accept = review("component", "case", theirs, over=(mine,))[1]
    refuse = review("component", "case", theirs, "refuse", number=2)[1]

    assert chosen(mine, [theirs], [accept]) == theirs
    assert chosen(mine, [theirs], [accept, refuse]) == mine
    assert chosen(mine, [theirs], [refuse, accept]) == theirs
    assert chosen(edited, [theirs], [accept]) == edited
    assert chosen(None, [theirs], []) is None
    assert chosen(None, [], [accept]) is None


def test_a_weighing_of_a_component_of_ours_waits_and_one_of_a_new_component_does_not():
    own = held(component("case"))
    sent = held(weighing("w1", "case", 30), component("cover", "Cover"), weighing("w2", "cover", 5))

    after = take(own, sent, came("b"))

    assert set(after.weighings) == {"w2"}
    waits = {one.id: one.why for one in compare(own, sent) if one.waits}
    assert waits == {"w1": "It would count as a mass of Case."}


def test_a_choice_about_a_component_of_ours_waits_and_decides_nothing_meanwhile():
    fields = {"choice": "c1", "component": "case", "statement": "w1", "by": "foreman", "on": "2026-11-01"}
    chosen = ("choice", Choice.model_validate({**fields, "reason": "Ours is right."}))
    own = held(component("case"))
    sent = held(component("case"), chosen)

    waits = {one.id: one.why for one in compare(own, sent) if one.waits}

    assert waits == {"c1": "It would decide which figure of Case is used."}
    assert take(own, sent, came("b")).choices == {}


@pytest.mark.parametrize("make", [note, lambda code, **f: weighing(code, "cover", 5)])
def test_what_says_that_it_replaces_a_record_of_ours_waits(make):
    kind, mine = make("o1")
    _, theirs = make("t1")
    theirs = theirs.model_copy(update={"replaces": "o1"})
    own = held((kind, mine))

    (one,) = [o for o in compare(own, held((kind, theirs))) if o.kind == kind]

    assert one.waits
    assert one.why.startswith("It says that it replaces o1.")


def test_contradicting_masses_are_told_and_live_side_by_side():
    own = held(component("case"), weighing("w1", "case", 30))
    sent = held(weighing("w2", "case", 21))

    (one,) = [o for o in compare(own, sent) if o.kind == "weighing"]

    assert one.standing is VersionStanding.CONTRADICTORY
    assert "Case: 21 kg (Scale) and 30 kg (Scale) lie apart by 8.8 to 9.2 kg" in one.why
    after = take(own, sent, came("b"))
    assert set(after.weighings) == {"w1"}
    assert {"w1", "w2"} <= {code for kind, code in stamps(after) if kind == "weighing"}


def test_an_edited_observation_is_called_one():
    own = held(note("n1"))
    sent = held(note("n1", text="Mind the other edge."))

    (one,) = [o for o in compare(own, sent) if o.kind == "note"]

    assert one.standing is VersionStanding.DIFFERENT
    assert one.why == "Differs in: text. An observation is never edited; one of the two was."


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["edit a", "edit b", "a to b", "b to a", "weigh a", "weigh b"]), st.integers(1, 9)
    ),
    max_size=30,
)


@settings(max_examples=16, deadline=None)
@given(moves=MOVES)
def test_a_month_of_parcels_with_conflicting_edits_ends_equal(moves):
    """After both have sent everything, both hold the same versions; once both chose alike, the same in force."""
    shops = {"a": held(component("case")), "b": held(component("case"))}
    numbers = itertools.count()
    for what, figure in moves:
        shop = what[-1]
        if what.startswith("edit"):
            rows = [row for row in shops[shop].records() if row[1].id != "case" or row[0] != "component"]
            shops[shop] = in_force(collect([component("case", f"Case {figure}"), *rows]))
        elif what.startswith("weigh"):
            added = weighing(f"w-{shop}-{next(numbers)}", "case", figure)
            shops[shop] = merged(shops[shop], [added])
        else:
            sender = what[0]
            shops[shop] = take(shops[shop], shops[sender], came(sender))
    shops["a"] = take(shops["a"], shops["b"], came("b"))
    shops["b"] = take(shops["b"], shops["a"], came("a"))
    lost_by_editing = {key for key in stamps(shops["a"]) if key[0] == "component"}
    a, b = stamps(shops["a"]), stamps(shops["b"])
    assert {k: v for k, v in a.items() if k not in lost_by_editing} == {
        k: v for k, v in b.items() if k not in lost_by_editing
    }
    assert a == b

    for shop, there in shops.items():
        for key, every in stamps(there).items():
            if key[0] in ("component", "weighing"):
                pick = min(every)
                more = review(*key, pick, over=tuple(sorted(every - {pick})), number=next(numbers) + 1)
                there = merged(there, [more])
        shops[shop] = there
    assert standing(shops["a"]) == standing(shops["b"])
    assert [q for q in questions(shops["a"]) if q.kind in ("component", "weighing")] == []


def test_additions_mark_what_is_in_force_and_keep_the_rest_aside():
    own = held(component("case"))
    sent = held(component("case", "Lid"), component("shim", "Shim"), note("n1"), note("n2", "shim"))

    added = additions(compare(own, sent), came("b"))

    assert [kind for kind, _ in added] == ["aside", "component", "origin", "aside", "note", "origin"]
