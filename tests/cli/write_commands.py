"""Write docs/commands.md from the help of every command: ``python -m tests.cli.write_commands``."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli import main

PAGE = Path(__file__).resolve().parents[2] / "docs" / "commands.md"

HEAD = """# Commands

Made from the help of each command by `python -m tests.cli.write_commands`; a test keeps it current.
Every command that answers a question takes `--json`, with the fields described in [json.md](json.md).
Results go to standard output, messages to standard error; nothing ever waits for input unless its help says so.
"""


def help_pages(
    command: click.Command, name: str, parent: click.Context | None = None
) -> list[tuple[str, str]]:
    """The help of a command and of everything below it."""
    context = click.Context(command, info_name=name, parent=parent, terminal_width=100, max_content_width=100)
    title = context.command_path
    pages = [(title, command.get_help(context))]
    if isinstance(command, click.Group):
        for sub in command.list_commands(context):
            found = command.get_command(context, sub)
            assert found is not None
            pages += help_pages(found, sub, context)
    return pages


def text() -> str:
    """The whole page."""
    sections = [f"## {title}\n\n```\n{page}\n```\n" for title, page in help_pages(main, "handling-db")]
    return "\n".join([HEAD, *sections])


if __name__ == "__main__":
    PAGE.write_text(text(), encoding="utf-8")
