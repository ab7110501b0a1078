"""Every example of every ``--help`` has options and arguments that its command takes, and runs as printed."""

from __future__ import annotations

import shlex

import click
import pytest

from handling_db.cli import main as program
from tests.cli.examples import LEFT_OUT, examples, refused

EXAMPLES = examples()


def test_there_are_examples() -> None:
    assert len(EXAMPLES) > 40


@pytest.mark.parametrize("words", [words for _, words in EXAMPLES], ids=shlex.join)
def test_an_example_is_what_its_command_takes(words: list[str]) -> None:
    context = click.Context(program)
    command: click.Command = program
    rest = list(words)
    while isinstance(command, click.Group):
        found = command.get_command(context, rest.pop(0))
        assert found is not None
        command = found
    for parameter in command.params:  # whether a file is there is no matter here
        if isinstance(parameter.type, click.Path):
            parameter.type.exists = False

    command.make_context("handling-db", rest)


@pytest.mark.slow
def test_every_example_runs_as_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANDLING_DB_HOME", "")  # put back at the end

    assert refused() == []


def test_what_is_left_out_has_a_reason_and_is_a_command() -> None:
    names = {name for name, _ in EXAMPLES} | {"serve"}
    assert all(any(f"{name} ".startswith(f"{left} ") for name in names) for left in LEFT_OUT)
    assert all(LEFT_OUT.values())
