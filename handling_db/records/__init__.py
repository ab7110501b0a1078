"""The schema: one module per kind of record, frozen models, no files."""
