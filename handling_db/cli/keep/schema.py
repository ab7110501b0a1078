"""``handling-db schema``: the record format for editors and other programs."""

from __future__ import annotations

import click

from handling_db.cli.common import print_json


@click.command()
@click.argument("kind", required=False)
@click.option("--json", "as_json", is_flag=True, help="Accepted for sameness; the schema is JSON anyway.")
def command(kind: str | None, *, as_json: bool) -> None:
    """Print the JSON Schema of every KIND of record, or of one.

    \b
    Example:
      handling-db schema component > component.schema.json
    """
    from handling_db.records.schema import json_schemas

    schemas = json_schemas()
    if kind is None:
        print_json(schemas)
    elif kind in schemas:
        print_json(schemas[kind])
    else:
        raise click.UsageError(f"there is no kind {kind!r}; the kinds are: {', '.join(schemas)}")
