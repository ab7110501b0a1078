"""``handling-db schema``: records and answers described for editors and other programs."""

from __future__ import annotations

import click

from handling_db.cli.common import print_json


@click.command()
@click.argument("kind", required=False)
@click.option("--answers", is_flag=True, help="Of what commands print with --json; KIND is a command then.")
@click.option("--json", "as_json", is_flag=True, help="Accepted for sameness; the schema is JSON anyway.")
def command(kind: str | None, *, answers: bool, as_json: bool) -> None:
    """Print the JSON Schema of every KIND of record, or of one; of whole files with the word 'file'.

    A schema of files stands well beside the records, as record-file.schema.json: `new` and `tidy` then write
    the line by which editors find it. With --answers it is the schema of what every command prints with
    --json, or one: its fields with their units, what may be null, and nothing else.

    \b
    Example:
      handling-db schema component > component.schema.json
      handling-db schema file > record-file.schema.json
      handling-db schema --answers lift > lift.schema.json
    """
    if answers:
        from handling_db.interface.answer_schemas import FORMS, answer_schema, answer_schemas

        if kind is not None and kind not in FORMS:
            raise click.UsageError(f"no command {kind!r} prints JSON; those that do: {', '.join(FORMS)}")
        print_json(answer_schemas() if kind is None else answer_schema(kind))
        return
    from handling_db.records.schema import file_schema, json_schemas

    if kind == "file":
        print_json(file_schema())
        return
    schemas = json_schemas()
    if kind is None:
        print_json(schemas)
    elif kind in schemas:
        print_json(schemas[kind])
    else:
        raise click.UsageError(f"there is no kind {kind!r}; the kinds are: {', '.join(schemas)}")
