"""``handling-db history``: what changed between two folders or parcels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import PATH, json_option, print_json
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import ChangesJson
    from handling_db.records.collection import Collection


@click.command()
@click.argument("before", type=PATH)
@click.argument("after", type=PATH)
@click.option("--component", metavar="ID", help="Only this one, what is below it, and what is said about it.")
@json_option
def command(before: Path, after: Path, component: str | None, *, as_json: bool) -> None:
    """What changed from BEFORE to AFTER (folders, record files, tables or parcels), in words and figures.

    To compare with an earlier state that git keeps: git worktree add ../before COMMIT.

    Exit status 1 when something changed, 0 when nothing did.

    \b
    Example:
      handling-db history ../before my-records --component gear-section
      handling-db history in.zip my-records
    """
    from handling_db.lookup.history import changes

    collections = [_read(path) for path in (before, after)]
    if component is not None and not any(component in one.components for one in collections):
        raise HandlingError(f"there is no component {component!r} in either")
    found = changes(collections[0], collections[1], component=component)
    if as_json:
        told: ChangesJson = {"changes": list(found)}
        print_json(told)
    elif not found:
        click.echo("nothing changed", err=True)
    else:
        for change in found:
            name = f" ({change.name})" if change.name else ""
            click.echo(f"{change.what}: {change.kind} {change.id}{name}")
            for detail in change.details:
                click.echo(f"    {detail}")
    raise SystemExit(1 if found else 0)


def _read(path: Path) -> Collection:
    if path.suffix == ".zip":
        from handling_db.files.folders import read_collection
        from handling_db.records.collection import collect
        from handling_db.sharing.read import open_parcel

        reading = open_parcel(path)
        if reading.parcel is None:
            raise HandlingError(str(reading.findings[0]))
        shipped = read_collection([]).collection
        sent = reading.parcel.collection
        return collect([*sent.records(), *shipped.records()], sent.lines)
    from handling_db.tables.sources import read_paths

    found = read_paths([path])
    for finding in found.findings:
        click.echo(str(finding), err=True)
    return found.collection
