"""A table read in whole columns and the same table looked at cell by cell give the same, whatever is in it."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.tables.read import HowRead, TableReading, read_file

CODES = st.sampled_from(["rig", "box", "case", "bolt M12", "Deckel", "=cmd", "-lever", "a'b", "4711"])
PLAIN = st.sampled_from(["12.5", "158", "98.125", "0.25", "1250.5", "830"])
ODD = st.sampled_from(
    [
        "", "?", "n/a", "12 kg", "348 lb", "12 1/2 lb", "158.0 ± 0.5", "158.0 ± 5 %", "heavy", "0", "-3", "12-14", "1 250",
        "12 ton", "1e3", "1.5e-1", "1'250.5", "30#", "12,5", "1,250", "1.250", "1,250.5",
    ]
)  # fmt: skip
ROW = st.tuples(
    st.one_of(st.just(""), CODES), CODES, st.sampled_from(["1", "2", "4 pcs", "", "0", "two", "2.5"]),
    st.one_of(PLAIN, PLAIN, PLAIN, ODD), st.sampled_from(["", "", "kg", "lb", "EA", "bushel"]),
    st.sampled_from(["", "", "0.5", "2 %", "0.5 kg", "much"]), st.sampled_from(["", "", "dry", "trocken", "wet"]),
)  # fmt: skip
HEADS = st.sampled_from(
    [
        ["parent", "child", "quantity", "mass kg", "unit", "plus_minus", "state"],
        ["Parent", "Child", "Qty", "Weight each (lb)", "UOM", "+/-", "State"],
        ["Baugruppe", "Child", "Stück", "Einzelgewicht kg", "Einheit", "Toleranz", "Füllzustand"],
    ]
)  # fmt: skip


def what(reading: TableReading) -> object:
    """All that a table gave, without the addresses that only a sheet has."""
    table = reading.table
    if table is None:
        return None
    usage, to = table.usage, table.statements
    return (
        sorted(
            (table.codes[p], table.codes[c], q, line)
            for p, c, q, line in zip(usage.parent, usage.child, usage.quantity, usage.line, strict=True)
        ),
        sorted(
            (
                table.codes[node],
                to.number[i],
                to.unit[i],
                to.best[i],
                to.below[i],
                str(to.state[i]),
                to.line[i],
            )
            for i, node in enumerate(to.node)
        ),
        sorted(table.codes[node] for node in range(len(table.codes)) if not table.lists_all(node)),
    )


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=20)
@given(
    rows=st.lists(ROW, min_size=1, max_size=12), heads=HEADS, decimal=st.sampled_from(["", "point", "comma"]),
    delimiter=st.sampled_from(",;\t"),
)  # fmt: skip
def test_both_ways_give_the_same(tmp_path: Path, rows, heads, decimal, delimiter) -> None:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter).writerows([heads, *rows])
    path = tmp_path / "t.csv"
    path.write_bytes(out.getvalue().encode())

    (columns,) = read_file(path, HowRead(decimal))
    (cells,) = read_file(path, HowRead(decimal, row_by_row=True))

    assert columns.sheet is None
    assert cells.sheet is not None
    assert what(columns) == what(cells)
    asked = [f.sentence for f in columns.findings if "decimal sign" in f.sentence]
    assert asked == [f.sentence for f in cells.findings if "decimal sign" in f.sentence]
    if not asked:
        assert faulty_lines(columns) == faulty_lines(cells)


def faulty_lines(reading: TableReading) -> set[int]:
    return {f.place.line for f in reading.findings if f.verdict == "fault" and f.place}
