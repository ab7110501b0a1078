"""Flat tables: every column, every way of writing them, and what they come to."""

import csv
import io
import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.errors import HandlingError
from handling_db.findings import Verdict
from handling_db.records.kinds.source import SourceKind
from handling_db.tables.findings import CENTRES_DIFFER, MASSES_DIFFER, NAMES_DIFFER
from handling_db.tables.read import TableReading
from tests.reading import read_table

LB = 0.45359237


@pytest.fixture
def read(tmp_path):
    """Write a text as a table and read it."""

    def go(text: str | bytes, **options) -> TableReading:
        path = tmp_path / "parts.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_table(path, **options)

    return go


def lines(reading: TableReading) -> list[str]:
    """Findings as printed, without the folder in front."""
    return [f"parts.csv{str(finding).split('parts.csv', 1)[1]}" for finding in reading.findings]


PLAIN = "parent,child,quantity,mass,unit\n,box,,,\nbox,case,1,158,kg\nbox,bolt,14,0.5,lb\n"


def test_a_plain_table(read):
    """Codes, part lines and masses in kilograms, with half the assumed step for doubt."""
    reading = read(PLAIN)

    assert reading.findings == ()
    table = reading.table
    assert ["box", "case", "bolt"] == table.codes == table.names
    assert table.lines == [2, 3, 4]
    assert (
        table.usage.parent,
        table.usage.child,
        table.usage.quantity,
        table.usage.line,
    ) == ([0, 0], [1, 2], [1.0, 14.0], [3, 4])
    assert {} == table.usage.text == table.usage.places
    to = table.statements
    assert (to.node, to.line) == ([1, 2], [3, 4])
    assert [158.0, pytest.approx(0.5 * LB, rel=1e-15)] == to.best
    assert [0.5, pytest.approx(0.05 * LB, rel=1e-15)] == to.below == to.above
    assert to.doubt == ["half the assumed step"] * 2
    assert [to.printed(i) for i in range(2)] == ["158 kg", "0.5 lb"]
    assert [None, None] == to.state == to.boundary == to.build == to.source
    assert table.left_out == 0
    assert table.index() == {"box": 0, "case": 1, "bolt": 2}


@pytest.mark.parametrize("delimiter", [";", ",", "\t"])
@pytest.mark.parametrize("start", ["", "\ufeff", "\n\n", "\ufeff\r\n"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_delimiters_marks_and_line_ends(read, delimiter, start, end):
    """Any of the three delimiters, a byte order mark, blank lines first, any line ends."""
    reading = read(start + PLAIN.replace(",", delimiter).replace("\n", end), decimal="point")

    assert reading.findings == ()
    assert reading.table.codes == ["box", "case", "bolt"]
    blank = len((start + PLAIN).splitlines()) - len(PLAIN.splitlines())
    assert [3 + blank, 4 + blank] == reading.table.usage.line


@pytest.mark.parametrize(
    "heading",
    [
        "PARENT,Child,QUANTITY,Plus Minus,Mass,UNIT",
        "parent , child, Quantity,plus-minus , mass ,unit ",
        "Parent,CHILD,quantity,PlusMinus,MASS,Unit",
        '"parent","child","quantity","plus_minus","mass","unit"',
        "parent,child,quantity,plus minus (lb),mass [lb],unit",
        "parent,child,quantity,plus_minus lb,Mass LB,unit",
    ],
)
def test_headings_are_forgiven(read, heading):
    """Case, spaces, underscores, hyphens and brackets around a unit make no difference."""
    reading = read(f"{heading}\nbox,case,1,2,40,lb\n")

    assert reading.findings == ()
    to = reading.table.statements
    assert ([pytest.approx(40 * LB)], [pytest.approx(2 * LB)], ["stated"]) == (to.best, to.below, to.doubt)


def test_unknown_columns_are_named(read):
    """They are read over, and said so."""
    reading = read("parent,child,mas,mass remark,\n,box,1,heavy,\n")

    assert lines(reading) == [
        "parts.csv:1: remark: these columns are not read: 'mas', 'mass remark', 'column 5, which has no "
        "heading'. Did you mean mass, remark? The columns are: parent, child, quantity, mass, unit, step, plus_minus, "
        "u, state, boundary, build, x, y, z, length_unit, roll, pitch, yaw, cg_x, cg_y, cg_z, stated, "
        "stated_unit, stated_step, source, name, part number, serial, on, by, remark."
    ]
    assert reading.table.codes == ["box"]


def test_child_and_parent_are_enough(read):
    """A list of roots needs no more."""
    reading = read("child,parent\nbox,\npump,\n")

    assert reading.findings == ()
    assert (reading.table.codes, len(reading.table.usage)) == (["box", "pump"], 0)


@pytest.mark.parametrize(
    ("cells", "half", "doubt"),
    [
        (("415", "", "", ""), 2.5, "half the assumed step"),
        (("450", "", "", ""), 25, "half the assumed step"),
        (("830", "", "", ""), 5, "half the assumed step"),
        (("840.0", "", "", ""), 0.05, "half the assumed step"),
        (("8.40e2", "", "", ""), 0.5, "half the assumed step"),
        (("415", "2", "", ""), 1, "half the step"),
        (("415", "2", "7", ""), 7, "stated"),
        (("415", "", "", "3"), 6, "stated as u"),
        (("1", "", "9", ""), 9, "stated"),
        (("0.0", "0.5", "", ""), 0.25, "half the step"),
    ],
)
def test_doubt(read, cells, half, doubt):
    """The stated doubt; else half the step, else half the step that the digits suggest."""
    reading = read("parent,child,mass kg,step,plus_minus,u\n" + ",".join(["", "box", *cells]))

    assert reading.findings == ()
    to = reading.table.statements
    assert [doubt] == to.doubt
    assert half == pytest.approx(to.above[0])
    assert min(half, to.best[0]) == pytest.approx(to.below[0])
    assert ({0: 3.0} if cells[3] else {}) == to.u


def test_doubt_columns_have_their_own_units(read):
    """A unit in the heading of a doubt is that doubt's."""
    reading = read("parent,child,mass,unit,plus_minus (g)\n,box,2,kg,50\n")

    assert reading.table.statements.above == [0.05]


def test_kinds_of_source_bring_their_usual_doubt(read):
    """A source named like a kind is of that kind, case forgiven; other names are only names."""
    reading = read(
        "parent,child,mass kg,source\n,a,40.00,Supplier's list\n,b,40.00,handbook\n,c,100,shipping paper\n"
        ",d,40,weighed\n,e,2000,weighbridge\n"
    )

    to = reading.table.statements
    assert to.source == ["supplier's list", "handbook", "shipping paper", "weighed", "weighbridge"]
    assert pytest.approx([2.0, 0.005, 50.0, 30.0, 500.0]) == to.below
    assert pytest.approx([2.0, 0.005, 50.0, 30.0, 500.0]) == to.above
    reading = read("parent,child,mass kg,source\n,c,143,shipping paper\n")
    to = reading.table.statements
    assert ([pytest.approx(21.45)], [0.5]) == (to.below, to.above)
    assert to.doubt == ["usual for its kind"]


def test_other_kinds_may_be_given(read):
    """What the caller knows as kinds of source is used in place of those that come along."""
    kind = SourceKind.model_validate(
        {"source kind": "house scale", "name": "ours", "rank": "1", "percent": "10", "basis": "a test"}
    )
    text = "parent,child,mass kg,source\n,a,90,house scale\n,b,90,supplier's list\n"

    to = read(text, kinds={"house scale": kind}).table.statements

    assert to.above == [9.0, 5.0]
    assert to.doubt == ["usual for its kind", "half the assumed step"]


def test_a_long_table_starts_below_blank_lines(read):
    """However many there are."""
    reading = read("\n" * 3000 + PLAIN)

    assert reading.table.usage.line == [3003, 3004]


def test_state_boundary_build_source_and_name(read):
    """The words beside a figure stand with the statement, the name with the node."""
    reading = read(
        "parent,child,mass kg,state,boundary,build,source,name\n"
        ',box,400,Dry,"as listed without oil, pump",discs=8; shaft=620 mm,handbook 3,Gear box\n,pin,1,,,,,\n'
    )

    assert reading.findings == ()
    to = reading.table.statements
    assert to.state == ["dry", None]
    assert to.boundary == ["as listed without oil, pump", None]
    assert to.build == ["discs=8; shaft=620 mm", None]
    assert to.source == ["handbook 3", None]
    assert reading.table.names == ["Gear box", "pin"]


def test_places_and_centres(read):
    """Places in metres and degrees whatever they are written in; what is not there is not known."""
    reading = read(
        "parent,child,quantity,x,y,z,length_unit,roll rad,yaw (deg),cg_x,cg_y,cg_z\n"
        "box,a,1,1,-2.5,1e1,in,3.141592653589793,90,1,2,3\nbox,b,1,,,,,,,,,\nbox,c,2,0,0,7,mm,0,0,,,\n"
        "box,d,0.5,0,0,7,cm,,-90,,,\n"
    )

    assert reading.findings == ()
    usage = reading.table.usage
    assert {0, 2, 3} == usage.places.keys()
    assert pytest.approx((0.0254, -0.0635, 0.254, 180, 0, 90)) == usage.places[0]
    assert pytest.approx((0, 0, 0.007, 0, 0, 0)) == usage.places[2]
    assert pytest.approx((0, 0, 0.07, 0, 0, -90)) == usage.places[3]
    assert usage.place_texts[0] == (
        ("1", "-2.5", "1e1", "3.141592653589793", "", "90"),
        ("in", "in", "in", "rad", "", "deg"),
    )
    assert usage.text == {3: "0.5"}
    assert {1: pytest.approx((0.0254, 0.0508, 0.0762))} == reading.table.centres


def test_length_unit_in_the_heading(read):
    """One unit for the three of them."""
    reading = read("parent,child,quantity,x mm,y (mm),z mm\nbox,a,1,1,2,3\n")

    assert reading.table.usage.places == {0: (0.001, 0.002, 0.003, 0, 0, 0)}


def test_stated_is_a_figure_of_the_whole(read):
    """`stated` has its own unit and step, and stands among the statements like `mass` on an assembly."""
    reading = read(
        "parent,child,quantity,mass,unit,stated,stated_unit,stated_step\n"
        ",box,,,,920,lb,10\nbox,case,1,9,kg,,,\n,pump,,88,kg,194,lb,\n"
    )

    to = reading.table.statements
    assert {(0, "920 lb"), (1, "9 kg"), (2, "88 kg"), (2, "194 lb")} == {
        (to.node[i], to.printed(i)) for i in range(len(to))
    }
    stated = to.node.index(0)
    assert (pytest.approx(920 * LB), pytest.approx(5 * LB)) == (to.best[stated], to.above[stated])


@pytest.mark.parametrize(
    ("text", "kg"), [("1,5", 1.5), ("1.234,5", 1234.5), ("1.234.567", 1234567), ("12", 12), ("1,5e3", 1500)]
)
def test_decimal_comma(read, text, kg):
    """With decimal commas, points separate thousands where that is beyond doubt."""
    reading = read(f"parent;child;mass kg\n;box;{text}\n;pin;2,5\n", decimal="comma")

    assert reading.findings == ()
    assert [kg, 2.5] == reading.table.statements.best
    assert reading.table.statements.printed(1) == "2.5 kg"


def test_thousands_are_remarked_on(read):
    """Where the point is the decimal sign, a quoted 1,500 is 1500, and said so."""
    reading = read(
        'parent,child,quantity,mass kg\nbox,a,"1,200","1,500"\nbox,b,1,"1,500.5"\n', decimal="point"
    )

    assert sorted(lines(reading), key=lambda line: (line[:12], "mass" in line)) == [
        "parts.csv:2: quantity: remark: '1,200' is read as 1200; write it without the sign between the thousands.",
        "parts.csv:2: mass: remark: '1,500' is read as 1500; write it without the sign between the thousands.",
        "parts.csv:3: mass: remark: '1,500.5' is read as 1500.5; write it without the sign between the thousands.",
    ]
    assert reading.table.usage.quantity == [1200.0, 1.0]
    assert reading.table.statements.best == [1500.0, 1500.5]
    assert reading.table.statements.above == [250.0, 0.05]


@pytest.mark.parametrize(
    ("text", "value", "shown"),
    [
        ("1e3", 1000.0, "1e3"),
        ("1E-3", 0.001, "1E-3"),
        (".5", 0.5, "0.5"),
        ("5.", 5.0, "5"),
        ("+5", 5.0, "5"),
        (" 5 ", 5.0, "5"),
        ("1.5e+02", 150.0, "1.5e+02"),
        ("0012", 12.0, "0012"),
    ],
)
def test_machine_numbers(read, text, value, shown):
    """Any finite decimal is read, exponents included."""
    reading = read(f"parent,child,mass kg\n,box,{text}\n")

    assert reading.findings == ()
    assert (value, f"{shown} kg") == (
        reading.table.statements.best[0],
        reading.table.statements.printed(0),
    )


def test_line_ends_in_quotes_keep_the_right_lines(read):
    """Each row is known by the line it starts on, whatever is quoted in the rows before."""
    reading = read(
        'parent,child,quantity,remark\n"box",a,1,"two\nlines"\nbox,b,1,\n\nbox,c,0,"three\r\n\r\nlines"\nbox,d,1,\n'
    )

    assert reading.table.usage.line == [2, 4, 9]
    assert next(f for f in reading.findings if f.verdict is Verdict.FAULT).place.line == 6


def test_one_component_under_several_parents(read):
    """Named twice it is one; the same mass twice is one statement; spaces around an id do not matter."""
    reading = read("parent,child,quantity,mass kg\na,bolt,2,0.2\nb, bolt ,3,0.2\nb,bolt,1,\n")

    assert reading.findings == ()
    assert reading.table.codes == ["a", "bolt", "b"]
    assert reading.table.usage.child == [1, 1, 1]
    assert len(reading.table.statements) == 1


def test_contradictory_masses_are_a_finding(read):
    """Both are kept, and the finding has both figures, the gap and both lines."""
    reading = read("parent,child,quantity,mass kg\na,bolt,2,0.2\nb,bolt,3,0.5\nc,bolt,1,0.21\n")

    assert lines(reading) == [
        "parts.csv:4: mass: disagrees: 'bolt' is 0.21 kg here and 0.5 kg on line 3, which is further apart than "
        "their doubts; both are kept. Correct one of the two, or say which state, boundary or build each is for."
    ]
    finding = reading.findings[0]
    assert (finding.rule, finding.verdict, finding.about) == (MASSES_DIFFER, Verdict.DISAGREES, "bolt")
    assert [reading.table.statements.printed(i) for i in range(3)] == ["0.2 kg", "0.5 kg", "0.21 kg"]
    assert reading.table.statements.earlier == [-1, 0, 1]
    assert [name for name, _, _ in finding.figures] == ["line 3", "line 4"]
    assert pytest.approx([0.45, 0.55, 0.205, 0.215]) == [
        float(limit) for _, low, high in finding.figures for limit in (low, high)
    ]
    assert pytest.approx([0.235, 0.345]) == [float(limit) for limit in finding.gap]


def test_masses_that_can_both_be_true_are_not(read):
    """Figures whose doubts touch, or that are for different states, do not contradict."""
    reading = read(
        "parent,child,mass,unit,state\n,bolt,0.2,kg,\n,bolt,0.19,kg,\n,box,400,kg,dry\n,box,430.0,kg,filled\n"
        ",pin,1.0,lb,\n,pin,0.45,kg,\n"
    )

    assert reading.findings == ()
    assert len(reading.table.statements) == 6


def test_names_and_centres_that_differ(read):
    """The first is kept."""
    reading = read(
        "parent,child,name,cg_x mm,cg_y mm,cg_z mm\n,pin,Pin,1,2,3\n,pin,Bolt,1,2,4\n,pin,Pin,1,2,3.0\n"
    )

    assert lines(reading) == [
        "parts.csv:3: name: remark: 'pin' is named 'Bolt' here and 'Pin' on line 2, which is kept; write the "
        "same name, or give this one another id.",
        "parts.csv:3: cg_x: disagrees: the centre of 'pin' is at 1 mm, 2 mm, 4 mm here and at 1 mm, 2 mm, 3 mm "
        "on line 2, which is kept. Correct one of the two; a piece has one centre in its own frame.",
    ]
    assert [finding.rule for finding in reading.findings] == [NAMES_DIFFER, CENTRES_DIFFER]
    assert (reading.table.names, reading.table.centres) == (["Pin"], {0: (0.001, 0.002, 0.003)})


def test_what_a_root_does_not_use(read):
    """A quantity or a place without a parent is remarked on, where it says anything."""
    reading = read("parent,child,quantity,x mm,y mm,z mm\n,a,1,0,0,0\n,b,2,,,\n,c,,0,1,0\n")

    assert lines(reading) == [
        "parts.csv:3: quantity: remark: this row has no parent, so its quantity 2 is not used; name the parent, "
        "or leave the quantity empty.",
        "parts.csv:4: x: remark: the row has no parent to be placed in, so its place is not used; name the "
        "parent, or leave the place empty.",
    ]


def test_a_doubt_without_a_mass_is_remarked_on(read):
    """It belongs to no figure."""
    reading = read("parent,child,mass kg,step\n,a,,5\n,b,10,5\n")

    assert lines(reading) == [
        "parts.csv:2: step: remark: is not used, because there is no 'mass' in this row; write the figure in "
        "'mass', or leave this empty."
    ]


def test_blank_rows_are_passed_over(read):
    """Empty lines and rows of empty cells, which spreadsheets leave behind."""
    reading = read("parent,child,quantity\nbox,a,1\n,,\n\n  ,,\nbox,b,2\n")

    assert reading.findings == ()
    assert reading.table.usage.line == [2, 6]


def test_missing_file_and_unknown_word(tmp_path):
    """Calls that cannot proceed."""
    with pytest.raises(HandlingError, match=r"nothing\.csv: no such file"):
        read_table(tmp_path / "nothing.csv")
    with pytest.raises(HandlingError, match="decimal is 'point' or 'comma', not 'dot'"):
        read_table(tmp_path / "nothing.csv", decimal="dot")


CODES = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12
).map(str.strip).filter(bool)  # fmt: skip
FIGURES = st.one_of(
    st.integers(1, 10**9).map(str),
    st.decimals(min_value="0.001", max_value="1e6", places=3).map(str),
    st.floats(1e-6, 1e9).map(repr),
)
ROWS = st.lists(
    st.tuples(CODES, CODES, FIGURES, st.one_of(st.just(""), FIGURES), st.sampled_from(["kg", "lb", "t", "oz"])),
    max_size=30,
)  # fmt: skip
FACTOR = {"kg": 1.0, "lb": LB, "t": 1000.0, "oz": LB / 16}


@pytest.mark.slow
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(rows=ROWS, delimiter=st.sampled_from(",;\t"), end=st.sampled_from(["\n", "\r\n"]))
def test_what_the_csv_module_writes_is_read_back(tmp_path, rows, delimiter, end):
    """Random tables: every part line and every mass comes back, in order and with its line."""
    rows = [row for row in rows if 0 < float(row[2]) <= 999_999_999]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator=end)
    writer.writerow(["parent", "child", "quantity", "mass", "unit"])
    writer.writerows(rows)
    path = Path(tmp_path / "random.csv")
    path.write_text(text.getvalue(), encoding="utf-8", newline="")

    reading = read_table(path, decimal="point")

    faults = [finding for finding in reading.findings if finding.verdict is Verdict.FAULT]
    if not rows:
        assert [fault.sentence for fault in faults] == ["there are no rows below the heading line;"]
        return
    assert faults == []
    table = reading.table
    usage = table.usage
    assert [(parent, child) for parent, child, *_ in rows] == [
        (table.codes[p], table.codes[c]) for p, c in zip(usage.parent, usage.child, strict=True)
    ]
    assert [float(row[2]) for row in rows] == usage.quantity
    assert list(range(2, len(rows) + 2)) == usage.line
    assert len(set(table.codes)) == len(table.codes)
    to = table.statements
    told = {(table.codes[to.node[i]], to.number[i], to.unit[i]): to.best[i] for i in range(len(to))}
    assert {(row[1], row[3], row[4]) for row in rows if row[3]} == told.keys()
    assert len(told) == len(to)
    for (_, number, unit), best in told.items():
        assert math.isclose(best, float(number) * FACTOR[unit], rel_tol=1e-15)


def test_many_rows(read):
    """A hundred thousand rows, with leaves shared and masses repeated."""
    rows = [f"a{i // 50},b{i % 2000},{i % 7 + 1},{i % 2000 + 1}.25,kg" for i in range(100_000)]

    reading = read("parent,child,quantity,mass,unit\n" + "\n".join(rows))

    assert reading.findings == ()
    assert len(reading.table.usage) == 100_000
    assert len(reading.table.statements) == 2000
    assert len(reading.table.codes) == 4000
    assert sum(i % 7 + 1 for i in range(100_000)) == sum(reading.table.usage.quantity)
    assert list(range(2, 100_002)) == list(reading.table.usage.line)
