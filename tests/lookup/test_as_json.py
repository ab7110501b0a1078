"""Answers as JSON: plain values, and minus nothing is nothing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.cli import main
from handling_db.lookup.as_json import plain


def test_minus_nothing_is_nothing() -> None:
    found = plain({"at": (-0.0, 1.5, Fraction(-0)), "one": [-0.0], "none": None, "yes": True})

    assert str(found) == "{'at': [0.0, 1.5, 0.0], 'one': [0.0], 'none': None, 'yes': True}"


@pytest.mark.slow
@pytest.mark.parametrize(
    "asked", [["move", "upper-half-lift"], ["lift", "upper-half-lift"], ["move", "lower-half"]]
)
def test_no_answer_of_the_demo_prints_minus_nothing(
    asked: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main([*asked, "--from", "data/demo", "--json"])
    told = capsys.readouterr().out

    assert told.startswith("{")
    assert "-0.0,\n" not in told
    assert "-0.0\n" not in told
