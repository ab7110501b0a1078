"""Write the lists of fields in docs/json.md from what the commands print: ``python -m tests.docs.write_json``.

What stands above the mark is written by hand; below it every command of `EXAMPLES` is run on the demo collection
and its fields are listed with their types.
"""

from __future__ import annotations

import json
import os
import shlex
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from handling_db.cli import main
from tests.docs.pages import DOCS, ROOT

PAGE = DOCS / "json.md"
MARK = "<!-- below: written by python -m tests.docs.write_json -->\n"

# One command or several that together show the fields; the first is the heading.
EXAMPLES: tuple[tuple[str, ...], ...] = (
    (
        "weight transfer-box",
        "weight differential-section --without parking-brake",
        "weight lock-clutch-pack --set discs=12",
    ),
    ("check data/demo --as-of 2026-11-25",),
    ("find spline",),
    ("notes transfer-box",),
    ("build data/demo -o out.db",),
    ("why differential-section",),
    ("explain differential-section",),
    ("bounds gear-section --state drained",),
    ("reconcile ferry-pinion-group",),
    ("doubt quay-floor-scale",),
    ("sweep lock-clutch-pack discs --state dry",),
    ("gaps data/demo --as-of 2026-11-25",),
    ("history data/demo data/demo",),
    ("joint section-joint --job qsn-1187",),
    (
        "lift upper-half-lift --job qsn-1187 --as-of 2026-11-25",
        "lift lower-half --as-of 2026-11-25",
        "lift upper-half-lift --as-of 2026-11-25",
    ),
    ("legs upper-half-with-brake --as-of 2026-11-25",),
    ('reading upper-half-lift "445 kg" --job qsn-1187 --as-of 2026-11-25',),
    (
        'turn turn-onto-front-face --assume "auxiliary-drive=19 kg to 25 kg" --job qsn-1187 --as-of 2026-11-25',
    ),
    ("heavier rear-cover parking-brake",),
    ("two-hooks upper-half-lift --head cover-ear-90 --tail cover-ear-210 --as-of 2026-11-25",),
    ("move upper-half-lift --shop quay-shed-nine", "move gear-section --state dry"),
    ("stand upper-half-lift",),
    ("pallets",),
    ("pallets gear-case gear-case-cover differential-case --pallet saddle-pallet",),
    ("hands transfer-box --shop quay-shed-nine",),
    (
        "hands output-gear --reach 40 --height 75 --travel 30 --turn 0 --per-minute 0.2 --duration short --grip poor",
    ),
    ("fixtures gear-section",),
    ("shop low-tarrowby section-off-the-truck --before quay-shed-nine",),
)

# Keys that are names of the collection's own things, not fields.
_BY_NAME = {"build"}


def answer(command: str) -> Any:
    """What a command prints with ``--json``.

    Raises
    ------
    AssertionError
        It ended in an error.
    """
    result = CliRunner().invoke(main, [*shlex.split(command), "--json"])
    assert result.exception is None or isinstance(result.exception, SystemExit), command
    assert result.exit_code in (0, 1, 3), f"{command}: {result.stderr}"
    return json.loads(result.stdout)


def shape(value: Any, key: str = "") -> Any:
    """A value's form: ``text``, ``number``, a list or a mapping of forms."""
    if isinstance(value, bool):
        return {"yes or no"}
    if isinstance(value, int | float):
        return {"number"}
    if isinstance(value, str):
        return {"text"}
    if value is None:
        return {"nothing"}
    if isinstance(value, list):
        return ("list", merged(shape(item) for item in value))
    if key in _BY_NAME:
        return ("by name", merged(shape(item) for item in value.values()))
    return ("fields", {name: shape(item, name) for name, item in value.items()})


def merged(shapes: Any) -> Any:
    """One form for several: whatever any of them has."""
    kinds: set[str] = set()
    nested: dict[str, Any] = {}
    for form in shapes:
        if isinstance(form, set):
            kinds |= form
            continue
        word, inside = form[0], form[1]
        if len(form) == 3:
            kinds.add("nothing")
        if word == "fields":
            old = nested.get(word, {})
            names = [*old, *(name for name in inside if name not in old)]
            nested[word] = {
                name: merged(side[name] for side in (old, inside) if name in side) for name in names
            }
        else:
            nested[word] = merged([nested[word], inside]) if word in nested else inside
    if not nested:
        return kinds
    word = next(iter(nested))
    inside = nested[word]
    return (word, inside, True) if kinds else (word, inside)


def lines(form: Any, depth: int = 0) -> Iterator[str]:
    """The fields of a form, one a line, nested ones further in."""
    if isinstance(form, set) or form[0] != "fields":
        return
    for name, inner in form[1].items():
        yield f"{'  ' * depth}{name}: {_words(inner)}"
        yield from lines(_innermost(inner), depth + 1)


def _innermost(form: Any) -> Any:
    while not isinstance(form, set) and form[0] in {"list", "by name"}:
        form = form[1]
    return form


def _words(form: Any) -> str:
    if isinstance(form, set):
        order = ("text", "number", "yes or no", "nothing")
        return " or ".join(word for word in order if word in form) or "list entries not in the example"
    tail = " or nothing" if len(form) == 3 else ""
    if form[0] == "fields":
        return f"fields{tail}"
    empty = isinstance(form[1], set) and not form[1]
    what = "(none in the example)" if empty else f"of {_words(form[1])}"
    return f"{form[0]} {what}{tail}"


def text() -> str:
    """The page as it should be: the hand-written top, and the fields of every command."""
    top = PAGE.read_text(encoding="utf-8").split(MARK)[0]
    out = [top, MARK]
    for commands in EXAMPLES:
        form = merged(shape(answer(command)) for command in commands)
        listed = "A list of:\n\n" if form[0] == "list" else ""
        out.append(f"\n## handling-db {commands[0].replace(' -o out.db', '')} --json\n\n{listed}```text\n")
        out += [f"{line}\n" for line in lines(_innermost(form))]
        out.append("```\n")
    return "".join(out)


def play(folder: Path) -> str:
    """The page, made in a folder of its own with a demo database."""
    here = Path.cwd()
    os.chdir(folder)
    try:
        (folder / "data").symlink_to(ROOT / "data")
        os.environ["HANDLING_DB_HOME"] = str(folder)
        CliRunner().invoke(main, ["build", "data/demo"])
        return text()
    finally:
        os.chdir(here)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        page = play(Path(made))
    PAGE.write_text(page, encoding="utf-8")
