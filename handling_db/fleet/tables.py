"""The tables that a collection is written as for a fleet: their names, and each column with its type.

One definition for what writes them and what reads them. Every table begins with the shop
  and the stamp. Figures are float64: best the nearest, low rounded down and high rounded up; the exact
text stands beside them, a decimal figure where it has an end, else a fraction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Row = Sequence[object]

_FIGURES = (
    ("best_kg", "double"),
    ("low_kg", "double"),
    ("high_kg", "double"),
    ("best_exact", "varchar"),
    ("low_exact", "varchar"),
    ("high_exact", "varchar"),
)
_OWN = (("shop", "varchar"), ("stamp", "varchar"))

# A node is a component in one build, numbered from 0 within its collection.
COLUMNS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "names": (
        *_OWN,
        ("node", "bigint"),
        ("component", "varchar"),
        ("build", "varchar"),  # empty: it has no parameters
        ("default_build", "boolean"),
        ("name", "varchar"),
        ("kind", "varchar"),
        ("maker", "varchar"),
        ("part_number", "varchar"),
        ("lists_parts", "boolean"),
        ("open_list", "boolean"),  # parts listed in part only, or nobody looked
        ("broken_lines", "bigint"),  # part lines that cannot be worked out in this build
        ("file", "varchar"),
        ("line", "bigint"),
    ),
    "lines": (
        *_OWN,
        ("parent", "bigint"),
        ("child", "bigint"),
        ("position", "bigint"),  # among the part lines of the parent, from 1
        ("quantity", "double"),
        ("quantity_exact", "varchar"),
    ),
    # What one piece weighs by the figure that is used for it; of an assembly the whole that may stand for its
    # parts where some are not known. No row: nobody knows.
    "masses": (
        *_OWN,
        ("node", "bigint"),
        ("state", "varchar"),  # dry, drained, filled; every: the same in all three
        *_FIGURES,
        ("origin", "varchar"),
        ("source", "varchar"),
        ("source_kind", "varchar"),
        ("printed", "varchar"),
        ("weighed_together", "double"),  # of how many pieces the figure is the mean; NULL: of no matter
        ("scatter_kg", "double"),  # how far a single one may be from that mean
    ),
    "statements": (
        *_OWN,
        ("component", "varchar"),
        ("position", "bigint"),  # the most trusted first
        ("statement", "varchar"),
        ("printed", "varchar"),
        ("best_kg", "double"),
        ("low_kg", "double"),
        ("high_kg", "double"),
        ("doubt_from", "varchar"),
        ("state", "varchar"),
        ("counts", "varchar"),
        ("without", "varchar"),
        ("boundary_known", "boolean"),
        ("source", "varchar"),
        ("source_name", "varchar"),
        ("source_kind", "varchar"),
        ("day", "varchar"),
        ("serials", "varchar"),
        ("build", "varchar"),
        ("chosen", "boolean"),
        ("verdict", "varchar"),
        ("because", "varchar"),
    ),
    # What the program itself says, to be compared with.
    "totals": (
        *_OWN,
        ("node", "bigint"),
        ("state", "varchar"),
        *_FIGURES,
        ("complete", "boolean"),  # false: at least
        ("basis", "varchar"),
        ("height", "bigint"),
        ("unknown_pieces", "double"),  # NULL: not counted, in a table too large for records
        ("plan_kg", "double"),  # from all the evidence; NULL: no upper figure, or not the default build
        ("why_no_plan", "varchar"),
    ),
    "findings": (
        *_OWN,
        ("rule", "varchar"),
        ("verdict", "varchar"),
        ("about", "varchar"),
        ("sentence", "varchar"),
        ("remedy", "varchar"),
        ("file", "varchar"),
        ("line", "bigint"),
        ("gap_low_kg", "double"),
        ("gap_high_kg", "double"),
    ),
}


def file_of(table: str) -> str:
    """The file that a table stands in."""
    return f"{table}.parquet"


def create(table: str) -> str:
    """The statement that makes an empty table of this kind."""
    columns = ", ".join(f"{name} {kind}" for name, kind in COLUMNS[table])
    return f"create table {table} ({columns})"
