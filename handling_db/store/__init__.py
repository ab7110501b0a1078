"""The only rooms that touch disk or SQLite."""
