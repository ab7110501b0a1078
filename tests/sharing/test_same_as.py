"""Two ids for one thing: proposed with reasons, joined by a person only, and nothing lost by joining."""

from __future__ import annotations

import datetime

from handling_db.files import joined as joining
from handling_db.records.collection import collect
from handling_db.records.kinds.origin import Pairing
from handling_db.sharing.same_as import likenesses
from tests.from_text import SCALE, collection

DAY = datetime.date(2026, 11, 25)


def part(code, name, kg="12 kg", more=""):
    return f"- {{component: {code}, name: {name}, kind: part, {more}masses: [{{printed: {kg}, plus or minus: 0.5 kg, source: scale}}]}}\n"


OURS = collection(SCALE + part("gear-case", "Gear case", more="part number: 31-1101, "))


def reasons(text):
    found, more = likenesses(OURS, collection(SCALE + text))
    assert not more
    return {(like.own, like.other): like.reasons for like in found}


def test_the_same_part_number_or_name_is_proposed_with_what_the_masses_say():
    assert reasons(part("front-case", "Front casing", "12.4 kg", "part number: 31 1101, ")) == {
        ("gear-case", "front-case"): (
            "both have part number 31 1101",
            "their masses touch: 12.0 ± 0.5 kg (26.5 ± 1.1 lb) here, 12.4 ± 0.5 kg (27.3 ± 1.1 lb) there",
        )
    }
    assert reasons(part("front-case", "GEAR  case", "30 kg")) == {
        ("gear-case", "front-case"): (
            "both are called 'gear case'",
            "their masses lie apart: 12.0 ± 0.5 kg (26.5 ± 1.1 lb) here, 30.0 ± 0.5 kg (66.1 ± 1.1 lb) there",
        )
    }


def test_a_name_that_is_only_alike_needs_masses_that_touch():
    assert list(reasons(part("front-case", "Gear cases"))) == [("gear-case", "front-case")]
    assert reasons(part("front-case", "Gear cases", "30 kg")) == {}
    assert reasons(part("front-case", "Cover")) == {}, "a mass alone is no likeness"
    assert reasons(part("gear-case", "Gear case")) == {}, "the same id needs no proposal"


def test_of_many_with_one_name_the_first_are_held_against_it_and_the_others_counted():
    many = "".join(part(f"case-{n:02d}", "Gear case") for n in range(20))
    ours = collection(SCALE + many + part("z", "Cover", more="part number: 7-7, ") + part("a", "Gear cases"))
    found, more = likenesses(ours, collection(SCALE + part("new", "Gear case", more="part number: 77, ")))
    assert {like.own for like in found} == {"z", *(f"case-{n:02d}" for n in range(7))}
    assert more == {"new": 14}  # thirteen of the same name, and the one that is alike
    none, nothing = likenesses(ours, collection(SCALE + part("new", "Ring")))
    assert (none, nothing) == ((), {})


def joined(records):
    together, told = joining.joined(records)
    assert told == ()
    return together


TEXT = (
    SCALE
    + part("gear-case", "Gear case")
    + part("front-case", "Front casing", "12.2 kg")
    + """\
- {component: box, name: Box, kind: assembly, parts: [{component: front-case, quantity: 1}]}
- weighing: w
  of: front-case
  gross: 12.3 kg
  tare: none
  checked by: fitter
  source: scale
  on: 2026-01-02
  by: fitter
- note: n
  about: {component: front-case}
  kind: tie
  text: front-case
  told by: shop
  author: fitter
  on: 2026-01-02
  status: draft
"""
)


def pairing(keep, same, number=1):
    return "pairing", Pairing(
        pairing=f"p{number}", keep=keep, same=same, by="foreman", on=DAY, reason="Seen."
    )


def test_what_was_said_of_either_is_said_of_the_one_that_is_kept():
    before = collection(TEXT)

    after = joined(collect([*before.records(), pairing("gear-case", "front-case")]))

    assert "front-case" not in after.components
    case = after.components["gear-case"]
    assert case.also_called == ("front-case", "Front casing")
    assert [statement.printed.text for statement in case.masses] == ["12 kg", "12.2 kg"]
    assert after.components["box"].parts[0].component == "gear-case"
    assert after.weighings["w"].of == "gear-case"
    assert after.notes["n"].about.component == "gear-case"
    assert after.notes["n"].text == "front-case", "what somebody wrote stays as it is"


def test_chains_are_followed_and_rings_and_strangers_left_alone():
    before = collection(TEXT + part("case", "Case"))
    rows = [*before.records()]

    chain = joined(collect([*rows, pairing("gear-case", "front-case"), pairing("front-case", "case", 2)]))
    assert set(chain.components) == {"gear-case", "box"}
    ring = joined(collect([*rows, pairing("gear-case", "front-case"), pairing("front-case", "gear-case", 2)]))
    assert set(ring.components) == set(before.components)
    assert joined(collect([*rows, pairing("gear-case", "nothing")])).components == before.components


def test_joining_twice_is_joining_once():
    once = joined(collect([*collection(TEXT).records(), pairing("gear-case", "front-case")]))

    assert list(joined(once).records()) == list(once.records())
