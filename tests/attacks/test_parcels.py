"""The short form of the attacks by parcel: each kind of harm once, and a few mixtures by chance."""

from __future__ import annotations

import random

import pytest

from tests.attacks.parcels import HOSTILE, QUESTIONS, Shop, changed, drawn, mixed, own_tree, together

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return Shop(tmp_path_factory.mktemp("attacked"))


def test_every_question_is_answered(shop: Shop) -> None:
    assert set(QUESTIONS) == shop.before.keys()
    told = {words: status for words, (status, _) in shop.before.items()}
    fine = {words: 200 if words[0] == "/" else 1 if words.startswith("steps ") else 0 for words in told}
    assert told == fine  # the planned job has a finding of its own


@pytest.mark.parametrize("first", range(0, len(HOSTILE), 5), ids=lambda first: HOSTILE[first].__name__)
def test_no_answer_about_ours_changes(first: int, shop: Shop) -> None:
    """Five kinds of harm in one parcel. Before what names something of ours waited, nearly all changed answers."""
    sent = together(HOSTILE[first : first + 5], random.Random(f"1 {first}"))
    after, in_force = shop.after(sent)

    assert changed(shop.before, after) == []
    assert {kind for kind, _ in in_force} <= {
        "source",
        "component",
        "source kind",
        "material",
        "gear",
        "pallet",
    }


def test_an_honest_parcel_is_in_force_at_once(shop: Shop) -> None:
    records = own_tree(random.Random(1))

    after, in_force = shop.after(records)

    assert changed(shop.before, after) == []
    assert len(in_force) == len(records)


@pytest.mark.parametrize("seed", range(2))
def test_mixtures(seed: int, shop: Shop) -> None:
    records, _ = mixed(random.Random(seed))

    assert changed(shop.before, shop.after(records)[0]) == []


def test_what_a_parcel_names_is_asked_and_in_the_long_run_everything() -> None:
    rng = random.Random(3)
    sent = [{"component": "rear half", "name": "Bracket", "kind": "part"}]
    asked = [drawn(rng, sent) for _ in range(200)]

    assert all("weight rear half" in questions for questions in asked)
    assert {question for questions in asked for question in questions} == set(QUESTIONS)
    assert sum(map(len, asked)) < len(asked) * len(QUESTIONS) / 2


def test_a_second_parcel_changes_nothing_by_what_the_first_brought(shop: Shop) -> None:
    """The first brings a part of theirs, in force; the second says it is ours and weighs it."""
    first = own_tree(random.Random(1))
    code = {"component": "their-case", "name": "rear half", "kind": "part", "also called": ["Oil pump"]}
    second = [{"component": "their-whole", "name": "Whole", "kind": "assembly",
               "parts": [{"component": "rear-section", "quantity": "1"}, {"component": "their-case", "quantity": "1"}]},
              code]  # fmt: skip

    after, in_force = shop.after(first, [q for q in QUESTIONS if "rear" in q or "pump" in q], second)

    assert changed(shop.before, after) == []
    assert len(in_force) == len(first)
