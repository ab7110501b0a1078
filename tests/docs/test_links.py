"""Links and commands of the documentation: nothing points nowhere, and README's two commands are the tested ones."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from handling_db.cli import main
from tests.docs.pages import DOCS, ROOT, blocks

PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))]
IDS = [str(page.relative_to(ROOT)) for page in PAGES]

_LINK = re.compile(r"\]\(([^)\s]+)\)")
_COMMAND = re.compile(r"(?<![\w./-])handling-db((?: [a-z][a-z-]*)+)")

# Linked, and made last: a screenshot of the browser. Whoever adds it takes it out here.
AWAITED: set[str] = set()

# Pages written one sentence a line, so that a change shows as one.
BY_SENTENCE = (
    "tutorial",
    "job-plans",
    "fleet",
    "record-format",
    "tables",
    "json",
    "calculations",
    "questions",
    "changelog",
)


def _text(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def _anchors(page: Path) -> set[str]:
    """Addresses of the headings, as the common renderers make them."""
    found = set()
    for title in re.findall(r"^#+ (.+)$", _text(page), re.MULTILINE):
        plain = re.sub(r"[`*]", "", title.strip().lower())
        found.add(re.sub(r"[^\w\- ]", "", plain).replace(" ", "-"))
    return found


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_relative_links_resolve(page: Path) -> None:
    broken = []
    for link in _LINK.findall(_text(page)):
        if link.startswith(("http://", "https://", "mailto:")):
            continue
        name, _, anchor = link.partition("#")
        target = (page.parent / name).resolve() if name else page
        if str(target).removeprefix(f"{ROOT}/") in AWAITED:
            continue
        if not target.exists() or (anchor and anchor not in _anchors(target)):
            broken.append(link)

    assert broken == []


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_named_commands_exist(page: Path) -> None:
    """`handling-db WORD`: WORD is a command, and what follows a group is one of its own."""
    unknown = []
    for words in _COMMAND.findall(_text(page)):
        group: click.Command | None = main
        for word in words.split():
            if not isinstance(group, click.Group):
                break
            context = click.Context(group)
            group = group.get_command(context, word)
            if group is None:
                unknown.append(words)
                break

    assert unknown == []


def test_options_shown_in_console_blocks_exist() -> None:
    """Every ``--option`` beside a command on a page is one that its help knows."""
    unknown = []
    for page in PAGES:
        for block in blocks(_text(page)):
            for line in block.body.splitlines() if block.info.startswith("console") else ():
                match = re.match(r"\$ handling-db ([a-z-]+)(.*)", line)
                if match is None:
                    continue
                command = main.get_command(click.Context(main), match[1])
                assert command is not None, line
                if isinstance(
                    command, click.Group
                ):  # such as `job open`: the options are those of the second word
                    command = command.get_command(click.Context(command), match[2].split()[0])
                    assert command is not None, line
                known = {option for param in command.params for option in param.opts}
                options = re.findall(r"(?<=\s)--[a-z-]+", match[2])
                unknown += [f"{match[1]} {option}" for option in options if option not in known]

    assert unknown == []


def test_readme_has_two_commands_and_ci_runs_its_test_command() -> None:
    """`.ci/run` takes the pytest line out of README.md as a reader would copy it; the other line starts the demo."""
    commands = re.findall(r"^    (\S.*)$", _text(ROOT / "README.md"), re.MULTILINE)
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    taken = re.search(r"sed -n 's(/.*/p)' README\.md", script)

    assert len(commands) == 2
    assert commands[0].endswith("handling-db demo")
    assert commands[1].endswith("-m tests")
    assert taken is not None
    assert taken[1] == r"/^    \(.*python -m tests\)$/\1/p"
    assert 'bash -euo pipefail -c "$command"' in script


def test_awaited_pages_are_taken_off_the_list_when_they_come() -> None:
    assert sorted(name for name in AWAITED if (ROOT / name).exists()) == []


@pytest.mark.parametrize("name", BY_SENTENCE)
def test_one_sentence_a_line(name: str) -> None:
    """Prose only: tables, lists and blocks are left alone."""
    text = re.sub(r"```.*?```", "", _text(DOCS / f"{name}.md"), flags=re.DOTALL)
    prose = [line for line in text.splitlines() if line and (line[0].isalpha() or line[0] == "*")]

    assert prose
    assert [line for line in prose if re.search(r"[a-z)]{3,}\. [A-Z]", line)] == []
