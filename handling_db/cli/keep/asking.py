"""Asking for what was not given as an option, at a terminal only."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import Any

import click


def ask_for(
    given: Mapping[str, str | None], questions: Sequence[tuple[str, str, bool]], *, ask: bool
) -> dict[str, Any]:
    """Fill in what is missing.

    Parameters
    ----------
    given : mapping of option to value
        None for what was not given.
    questions : sequence of (field, question, needed)
        An empty answer to a question that is not needed leaves the field out.
    ask : bool
        Ask even if standard input is no terminal.

    Raises
    ------
    click.UsageError
        Something needed is missing and nobody can be asked.
    """
    answers: dict[str, Any] = {name.replace("_", " "): value for name, value in given.items()}
    missing = [field for field, _, needed in questions if needed and answers.get(field) is None]
    if not missing:
        return answers
    if not (ask or sys.stdin.isatty()):
        told = ", ".join(f"--{field.replace(' ', '-')}" for field in missing)
        raise click.UsageError(f"missing: {told}; give them, or run this in a terminal to be asked")
    for field, question, needed in questions:
        if answers.get(field) is not None:
            continue
        text = click.prompt(question, default=None if needed else "", show_default=False)
        answers[field] = text.strip() or None
    return answers
