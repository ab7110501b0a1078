"""What commands that read tables and spreadsheets share: the decimal sign, a mapping file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from handling_db.cli.common import FILE
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.tables.read import HowRead
    from handling_db.tables.sheets.layout import Layout

decimal_option = click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    help="The decimal sign of figures in tables; asked for where a figure has two readings.",
)
mapping_option = click.option("--mapping", type=FILE, help="Which column of a spreadsheet is which.")


def how_read(decimal: str | None, mapping: Path | None, *, row_by_row: bool = False) -> HowRead:
    """What a command says of the tables it reads.

    Raises
    ------
    HandlingError
        The mapping file cannot be read, or has faults.
    """
    from handling_db.tables.read import HowRead

    layout = mapping_of(mapping) if mapping else None
    sheet = layout.sheet if layout is not None else ""
    return HowRead(decimal or "", sheet, mapping=layout, row_by_row=row_by_row)


def mapping_of(path: Path) -> Layout:
    """The layout that a mapping file gives.

    Raises
    ------
    HandlingError
        It cannot be read, or has faults: all of them are said.
    """
    from handling_db.tables.sheets.mapping import read_mapping

    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise HandlingError(f"{path}: cannot be read ({error})") from None
    layout, findings = read_mapping(text, str(path))
    if layout is None:
        raise HandlingError("\n".join(str(finding) for finding in findings))
    return layout
