"""``handling-db new``: a record to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import FILE
from handling_db.cli.options import loaded, records_options
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.loading import Loaded


@click.command()
@click.argument("kind")
@click.argument("id", required=False)
@click.option("-o", "--out", type=FILE, help="File; it must not be there.")
@click.option(
    "--for", "unit", metavar="UNIT", help="Of a job plan: propose a first chain that takes UNIT apart."
)
@click.option("--shop", metavar="SHOP", help="Of a job plan: the shop that does it.")
@click.option("--back", metavar="PLAN", help="Of a job plan: the way back of PLAN, as a draft.")
@records_options
def command(
    kind: str,
    id: str | None,
    out: Path | None,
    unit: str | None,
    shop: str | None,
    back: str | None,
    folders: tuple[Path, ...],
    database: str | None,
) -> None:
    """Write a valid record of KIND called ID to fill in, with every field it may have.

    What is observed (weighing, note, job) gets an id of its own if you give none.
    A job plan is proposed from joints, order of ties and lifts (--for), or drafted backwards (--back).

    \b
    Example:
      handling-db new component gear-section -o my-records/gear-section.yml
      handling-db new weighing
      handling-db new "job plan" box-apart --for transfer-box --shop quay-shed-nine
    """
    from handling_db.files.atomic import write_file
    from handling_db.files.editor_line import with_editor_line
    from handling_db.files.new_id import new_id
    from handling_db.files.skeletons import skeleton

    if id is None and kind not in ("weighing", "note", "job"):
        raise click.UsageError(f"give the {kind} an id in plain words, such as gear-section")
    if unit is not None or back is not None:
        if kind != "job plan":
            raise click.UsageError("--for and --back belong to a job plan")
        if unit is not None and back is not None:
            raise click.UsageError("write --for or --back, not both")
        asked = (back, "job plan") if back is not None else (unit, "component")
        found = loaded(folders, database, asked[0], (asked[1],), "handled")
        text = _draft(found, id or "", shop, turned_round=back is not None)
    elif shop is not None or folders or database is not None:
        raise click.UsageError("--shop, --from and --db go with --for or --back")
    else:
        text = skeleton(kind, id or new_id())
    if out is None:
        click.echo(text, nl=False)
        return
    write_file(out, with_editor_line(out, text).encode())
    click.echo(f"{out}: fill it in, then: handling-db check {out.parent}", err=True)


def _draft(found: Loaded, plan_id: str, shop: str | None, *, turned_round: bool) -> str:
    """A job plan as text, proposed for a unit or turned round from another one, and read back."""
    from handling_db.files.folders import record_text
    from handling_db.files.reading import read_texts
    from handling_db.jobs.drafts.proposed import proposed_plan
    from handling_db.jobs.drafts.reversed import reversed_plan

    if turned_round:
        plan = reversed_plan(found.records, found.records.job_plans[found.id], plan_id)
    else:
        plan = proposed_plan(found.records, plan_id, found.id, shop)
    text = record_text(plan)
    faults = read_texts([("the draft", text)]).findings
    if faults:
        raise HandlingError(f"the draft cannot be read back: {faults[0]}")
    return text
