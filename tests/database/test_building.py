"""The bar of a long build: silent at first, silent in a pipe, on standard error otherwise."""

from __future__ import annotations

import sys

import pytest

from handling_db.database.building import bar_after_a_while


def told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], seconds: float, person: bool
) -> str:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: person, raising=False)
    times = iter([0.0, seconds, seconds, seconds])
    tell = bar_after_a_while(lambda: next(times))
    tell("writing rows", 50, 100)
    tell("writing rows", 100, 100)
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


def test_a_long_build_shows_how_far_it_is(monkeypatch, capsys) -> None:
    text = told(monkeypatch, capsys, 2.0, True)
    assert "writing rows             [###############...............] 50 of 100" in text
    assert text.endswith("100 of 100\n")


def test_a_short_build_shows_nothing(monkeypatch, capsys) -> None:
    assert told(monkeypatch, capsys, 0.5, True) == ""


def test_a_pipe_gets_nothing(monkeypatch, capsys) -> None:
    assert told(monkeypatch, capsys, 2.0, False) == ""
