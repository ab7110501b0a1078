"""The short form of the long run (`python -m tests.attacks`): the same attacks, a few of each."""

from __future__ import annotations

import os
import random

import pytest

from tests.attacks import BAD, bad, kills, records, requests


@pytest.mark.slow
def test_changed_records(capsys: pytest.CaptureFixture[str]) -> None:
    seen = records.run(random.Random(1), 250)

    assert bad(seen) == {}, capsys.readouterr().out
    assert seen["refused"] > 50
    assert seen["read"] > 20


def test_the_attacks_on_records_have_teeth() -> None:
    """A reader that drops units would be found out: what must be refused is refused for what was changed."""
    from handling_db.files.reading import read_texts

    files = dict(records.texts())
    text = files["components/differential-section.yml"]
    for word, change in records.MUST_BE_REFUSED.items():
        changed = change(random.Random(word), text)
        assert changed is not None, word
        assert changed != text, word
        assert read_texts([("x.yml", changed)]).findings, word
    assert read_texts([("x.yml", text)]).findings == ()


@pytest.mark.slow
def test_odd_requests(capsys: pytest.CaptureFixture[str]) -> None:
    seen = requests.run(random.Random(1), 100)

    assert bad(seen) == {}, capsys.readouterr().out
    assert (seen["headers missing"], seen["json broken"]) == (0, 0), capsys.readouterr().out
    assert seen["2xx"] > 10
    assert seen["4xx"] > 10


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kill -9 is of POSIX systems")
def test_kills(capsys: pytest.CaptureFixture[str]) -> None:
    seen = kills.run(random.Random(3), 2)

    assert bad(seen) == {}, capsys.readouterr().out
    assert seen["nothing done"] + seen["all done"] == 2


def test_what_is_bad_ends_the_long_run_with_a_status() -> None:
    assert bad({"refused": 3, "lost": 0}) == {}
    assert {word for word in BAD if bad({word: 1}) == {word: 1}} == set(BAD)
