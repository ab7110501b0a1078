"""``handling-db check``: every record against every rule."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import PATH, json_option, print_json
from handling_db.cli.keep.tables import decimal_option, how_read, mapping_option
from handling_db.findings import Verdict, exit_status
from handling_db.quantities.display import counted

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import CheckJson


@click.command()
@click.argument("paths", nargs=-1, required=True, type=PATH)
@click.option(
    "--as-of", metavar="DATE", help="Judge what depends on the day as of this date (default: today)."
)
@click.option("--all", "show_all", is_flag=True, help="Print remarks and agreements too.")
@click.option(
    "--fail-on",
    type=click.Choice(["fault", "disagrees", "unknown"]),
    help="Exit with 0 for what is less grave than this, so that a gate lets it pass.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "annotations", "sarif", "code-quality"]),
    default="text",
    show_default=True,
    help="All but text are shown beside the lines of a change by hosts of code.",
)
@decimal_option
@mapping_option
@json_option
def command(
    paths: tuple[Path, ...],
    as_of: str | None,
    decimal: str | None,
    mapping: Path | None,
    fail_on: str | None,
    form: str,
    *,
    show_all: bool,
    as_json: bool,
) -> None:
    """Do the parts sum to the whole? Check the records and tables in PATHS (folders, .yml, .csv, .xlsx,
    .ods).

    Prints one finding a line, as file:line: field: what was found and what to do. The last line says what
    was compared and what was not. Of a table of more than 20,000 rows it says before the work what will not
    be looked at.

    Exit status: 2 something cannot be read, 1 something disagrees, 3 something cannot be checked, 0 none
    of these. A status of 0 says that no figure contradicts another, nothing more.

    \b
    Example:
      handling-db check data/demo
      handling-db check my-records parts.csv --as-of 2026-11-25
      handling-db check my-records --fail-on disagrees --format annotations
    """
    from handling_db.loading import day
    from handling_db.tables.bulk.check import check_paths

    findings, closing = check_paths(
        paths,
        how=how_read(decimal, mapping),
        as_of=day(as_of, "--as-of"),
        tell=lambda sentence: click.echo(sentence, err=True),
    )
    status = _gate(exit_status(findings), fail_on)
    if as_json:
        listed = [finding.as_json() for finding in findings]
        told: CheckJson = {"findings": listed, "closing": closing, "exit_status": status}
        print_json(told)
        raise SystemExit(status)
    quiet = {Verdict.REMARK, Verdict.AGREES}
    if form != "text":
        from handling_db.cli.keep.finding_formats import FORMATS

        shown = [finding for finding in findings if show_all or finding.verdict not in quiet]
        click.echo(FORMATS[form](shown))
        raise SystemExit(status)
    for finding in findings:
        if show_all or finding.verdict not in quiet or finding.rests_on_steps:
            click.echo(str(finding))
    remarks = sum(finding.verdict is Verdict.REMARK for finding in findings)
    if remarks and not show_all:
        click.echo(f"{counted(remarks, 'remark')} not shown; --all prints them", err=True)
    click.echo(closing)
    raise SystemExit(status)


def _gate(status: int, fail_on: str | None) -> int:
    """The exit status, 0 for what a gate lets pass."""
    stops = {"fault": (2,), "disagrees": (2, 1), "unknown": (2, 1, 3), None: (2, 1, 3)}[fail_on]
    return status if status in stops else 0
