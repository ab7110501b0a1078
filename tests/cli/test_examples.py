"""Every example of every ``--help`` has options and arguments that its command takes; all are run by hand.

``python -m tests.cli.examples`` runs each of them as printed.
"""

from __future__ import annotations

import shlex

import click
import pytest

from handling_db.cli import main as program
from tests.cli.examples import examples

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
