"""Paths and ``--help`` as click has them, without looking their words up in translations at every start."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem


class PathType(click.ParamType):  # type: ignore[type-arg]  # older ones of click take no argument
    """What `click.Path` accepts; that one is made when something is given.

    Parameters
    ----------
    name : str
        What stands there: file, directory or path.
    as_text : bool
        Give the text as it was written, and not a `pathlib.Path`.
    **how
        As `click.Path` takes it.
    """

    def __init__(self, name: str, *, as_text: bool = False, **how: Any) -> None:
        self.name = name
        self.as_text = as_text
        self.how = how

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if self.as_text and os.path.isfile(value) and os.access(value, os.R_OK):
            return value  # whatever else it is, click finds the words
        found: Any = click.Path(**self.how).convert(value, param, ctx)
        if self.as_text:
            return found
        from pathlib import Path

        return Path(found)

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        return click.Path(**self.how).shell_complete(ctx, param, incomplete)


class Helped(click.Command):
    """A command with ``--help`` in the words that click has without a translation."""

    own_help: click.Option | None = None  # made once: click compares options by identity

    def get_help_option(self, ctx: click.Context) -> click.Option | None:
        names = self.get_help_option_names(ctx)
        if not names or not self.add_help_option:
            return None
        if self.own_help is None:
            self.own_help = click.Option(
                list(names),
                is_flag=True,
                is_eager=True,
                expose_value=False,
                help="Show this message and exit.",
                callback=_show_help,
            )
        return self.own_help


def _show_help(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        click.echo(ctx.get_help(), color=ctx.color)
        ctx.exit()
