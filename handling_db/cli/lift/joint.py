"""``handling-db joint``: what still holds two pieces together, from every document and this job."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import print_json
from handling_db.cli.options import loaded, source_options


@click.command()
@click.argument("name")
@click.option("--job", "job_id", metavar="JOB", help="The unit in hand: which ties are out or in.")
@source_options
def command(
    name: str, job_id: str | None, folders: tuple[Path, ...], database: Path | None, *, as_json: bool
) -> None:
    """What still holds the joint NAME: every tie with its state, what nobody looked for first.

    \b
    Example:
      handling-db joint section-joint --job qsn-1187
    """
    from handling_db.lifting.as_json import lift_json
    from handling_db.lifting.asked import job_named
    from handling_db.lifting.figures import CAUTIONS
    from handling_db.lifting.first_words import first_line
    from handling_db.lifting.ties import joint_figure, unlooked
    from handling_db.lifting.words import joined, joint_lines

    found = loaded(folders, database, name, ("joint",), "handled")
    collection, name = found.records, found.id
    joint = joint_figure(collection, collection.joints[name], job_named(collection, job_id))
    first = first_line([joint], (), unlooked([joint]))
    if as_json:
        print_json({"first": first, **lift_json(joint), "cautions": list(CAUTIONS)})
        return
    lines = [first, "", *joint_lines(joint)]
    lines += [f"  {joint.remark}"] if joint.remark else []
    click.echo(joined([*lines, "", *CAUTIONS]))
