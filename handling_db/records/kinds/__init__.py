"""One module a kind of record."""
