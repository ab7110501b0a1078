"""Rows of text as aligned columns, for a terminal."""

from __future__ import annotations

from collections.abc import Sequence


def columns(rows: Sequence[Sequence[str]], *, right: frozenset[int] = frozenset(), indent: str = "  ") -> str:
    """Rows as aligned columns; the last column is not padded."""
    if not rows:
        return ""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((indent + "  ".join(cells)).rstrip())
    return "\n".join(lines)
