"""Record files of what sheets gave, ready to be looked through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from handling_db.files.folders import records_text
from handling_db.files.yaml_text import dump_text
from handling_db.tables.records import table_records
from handling_db.tables.sheets.sheet_in import stem_of

if TYPE_CHECKING:
    from handling_db.tables.read import TableReading


def record_files_of(tables: Sequence[TableReading]) -> dict[str, str]:
    """What the sheets of one file gave as record files: components, sources and notes, by name.

    A component that several sheets speak of is one record, in the file of the sheet that lists its parts or
    weighs it first.
    """
    from handling_db.records.collection import collect
    from handling_db.tables.join import join_tables

    sheets = [(found, table_records(found.table).collection) for found in tables if found.table is not None]
    whole, _ = join_tables(collect([]), [collection for _, collection in sheets])
    files: dict[str, str] = {}
    written: set[str] = set()

    for place, (found, collection) in enumerate(sheets):
        assert found.sheet is not None
        later = {code for _, other in sheets[place + 1 :] for code in other.components}
        # what a sheet says something of, the others only as the last that names them
        codes = [
            code
            for code, one in sorted(collection.components.items())
            if code not in written and (code not in later or one.parts or one.masses)
        ]
        written.update(codes)
        stem, named = stem_of(found.sheet.grid), f"{found.sheet.grid.file}, sheet {found.sheet.grid.name}"
        if codes:
            file = named.removesuffix(", sheet ")
            head = f"# Read from {file}. Look it through: nothing of it was reviewed.\n"
            files[f"components/{stem}.yml"] = head + records_text(whole.components[code] for code in codes)
        if collection.sources:
            files[f"sources/{stem}.yml"] = records_text(
                source for _, source in sorted(collection.sources.items())
            )
    for found in tables:
        if found.notes and found.sheet is not None:
            files[f"notes/{stem_of(found.sheet.grid)}.yml"] = dump_text(list(found.notes))
    return files
