"""Columns of many rows as pages of a database file, written without a statement for each row."""
