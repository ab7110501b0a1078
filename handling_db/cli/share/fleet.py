"""``handling-db fleet``: many shops' collections together, added up on an engine that exists."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from handling_db.cli.common import FILE, FOLDER, json_option, tell, together

FOLDERS = click.argument("folders", nargs=-1, required=True, type=FOLDER)
bounds_options = together(
    click.option(
        "--memory", metavar="SIZE", default="1GB", show_default=True, help="At most, such as 500MB or 8GB."
    ),
    click.option("--threads", type=click.IntRange(1), default=2, show_default=True, help="At once."),
    click.option(
        "--spill",
        type=FOLDER,
        metavar="FOLDER",
        help="Where to write what does not fit; otherwise with the system's temporary files.",
    ),
)
any_maker_option = click.option(
    "--any-maker", is_flag=True, help="The same part number is the same part, whoever made it."
)


@click.group()
def command() -> None:
    """Put many shops' collections together: each written with 'export --parquet', added up here.

    Parts are compared where maker and part number are the same. Ids have their shop before them:
    quay:gear-case.

    \b
    Example:
      handling-db export --parquet fleet/quay --shop quay-shed-nine my-records
      handling-db fleet total fleet/quay fleet/tarrowby --out totals.parquet
      handling-db fleet missing fleet/quay fleet/tarrowby
    """


def _bounds(more: dict[str, Any]) -> Any:
    from handling_db.fleet.engine import Bounds

    return Bounds(more["memory"], more["threads"], more["spill"])


@command.command()
@FOLDERS
@click.option("--out", required=True, type=FILE, help="A new .parquet or .csv file.")
@click.option(
    "--most", type=click.IntRange(0), default=20, show_default=True, help="Of the heaviest to print."
)
@bounds_options
@json_option
def total(folders: tuple[Path, ...], out: Path, most: int, *, as_json: bool, **more: Any) -> None:
    """Add up everything in FOLDERS and write every total into a file: best, low, high, and whether complete.

    What nobody weighed makes a total "at least", and is counted. Each total is compared with what the shop's
    own program says. Exit status 1 when one is not the same, or something contains itself.

    \b
    Example:
      handling-db fleet total fleet/quay fleet/tarrowby --out totals.csv
      handling-db fleet total fleet/quay fleet/tarrowby --out totals.parquet --memory 4GB
    """
    from handling_db.fleet.as_json import TOTAL
    from handling_db.fleet.total import fleet_total
    from handling_db.fleet.words import total_words

    found = fleet_total(folders, out, _bounds(more), most)
    tell(as_json, lambda: {"file": str(out), **TOTAL.write(found)}, lambda: total_words(found, out))
    raise SystemExit(1 if found.apart or found.in_rings else 0)


@command.command()
@FOLDERS
@click.option("--most", type=click.IntRange(1), default=30, show_default=True, help="Parts to print.")
@any_maker_option
@bounds_options
@json_option
def missing(folders: tuple[Path, ...], most: int, *, any_maker: bool, as_json: bool, **more: Any) -> None:
    """Parts in FOLDERS that nobody weighed, those first of which the whole units hold most; and which shops
    have a figure for the same maker and part number.

    \b
    Example:
      handling-db fleet missing fleet/quay fleet/tarrowby
      handling-db fleet missing fleet/quay fleet/tarrowby --most 100 --any-maker
    """
    from handling_db.fleet.missing import missing as find
    from handling_db.fleet.words import missing_words

    found = find(folders, _bounds(more), most=most, any_maker=any_maker)
    tell(as_json, lambda: found, lambda: missing_words(found))


@command.command()
@FOLDERS
@any_maker_option
@bounds_options
@json_option
def disagree(folders: tuple[Path, ...], *, any_maker: bool, as_json: bool, **more: Any) -> None:
    """Parts of one maker and part number for which shops in FOLDERS have figures that cannot all be true.

    Exit status 1 when there are any.

    \b
    Example:
      handling-db fleet disagree fleet/quay fleet/tarrowby
      handling-db fleet disagree fleet/quay fleet/tarrowby --any-maker
    """
    from handling_db.fleet.disagree import disagreements
    from handling_db.fleet.words import disagree_words

    found = disagreements(folders, _bounds(more), any_maker=any_maker)
    tell(as_json, lambda: found, lambda: disagree_words(found))
    raise SystemExit(1 if found.apart else 0)


@command.command("where-used")
@click.argument("thing")
@FOLDERS
@click.option("--maker", default="", help="Of this maker only, where THING is a part number.")
@any_maker_option
@bounds_options
@json_option
def where_used(
    thing: str, folders: tuple[Path, ...], maker: str, *, any_maker: bool, as_json: bool, **more: Any
) -> None:
    """What THING goes into, in every shop of FOLDERS that has it: SHOP:ID, or a part number.

    \b
    Example:
      handling-db fleet where-used quay-shed-nine:gear-case fleet/quay fleet/tarrowby
      handling-db fleet where-used "PH 31-2301" fleet/quay fleet/tarrowby --any-maker
    """
    from handling_db.fleet.as_json import WHERE_USED
    from handling_db.fleet.where_used import where_used as find
    from handling_db.fleet.words import where_used_words

    found = find(thing, folders, _bounds(more), maker=maker, any_maker=any_maker)
    tell(as_json, lambda: WHERE_USED.write(found), lambda: where_used_words(found))
