"""``handling-db gaps``: what to weigh, look at or review next."""

from __future__ import annotations

from pathlib import Path

import click

from handling_db.cli.common import PATH, json_option, mark, print_found
from handling_db.quantities.columns import columns


@click.command()
@click.argument("paths", nargs=-1, required=True, type=PATH)
@click.option("--act", type=click.Choice(["weigh", "look", "review", "sharpen"]), help="Only these.")
@click.option("--most", type=click.IntRange(1), default=30, show_default=True, help="Lines to print.")
@click.option("--as-of", metavar="DATE", help="Judge review dates as of this day (default: today).")
@json_option
def command(paths: tuple[Path, ...], act: str | None, most: int, as_of: str | None, *, as_json: bool) -> None:
    """What to weigh, look at or review next in PATHS: first what would help most lifts, or settle most
    answers that are refused or wide, then what would help most totals; last the comparisons that agree, the
    weakest first, and what would sharpen each. The first line counts answers without an upper figure.

    \b
    Example:
      handling-db gaps my-records
      handling-db gaps my-records --act weigh
      handling-db gaps my-records --act sharpen
    """
    from handling_db.checker.evidence import Evidence
    from handling_db.checker.gaps import gaps
    from handling_db.checker.settles import bounded
    from handling_db.loading import day
    from handling_db.sharing.marks import marks_about
    from handling_db.tables.sources import read_paths

    reading = read_paths(paths)
    for finding in reading.findings:
        click.echo(str(finding), err=True)
    mark(marks_about(reading.collection, None, None))
    found = [gap for gap in gaps(reading.collection, as_of=day(as_of, "--as-of")) if act in (None, gap.act)]
    count = bounded(Evidence(reading.collection))
    if as_json:
        print_found({"gaps": found, "answers": count})
        return
    click.echo(f"{count.words}.")
    if not found:
        click.echo("nothing is known to be missing, which is not the same as nothing missing", err=True)
        return
    table = [["lifts", "totals", "answers", "what"]]
    table += [[str(len(gap.lifts)), str(len(gap.totals)), str(gap.settles), gap.what] for gap in found[:most]]
    click.echo(columns(table, right=frozenset({0, 1, 2}), indent=""))
    if len(found) > most:
        click.echo(f"{len(found) - most} more; --most {len(found)} prints all", err=True)
