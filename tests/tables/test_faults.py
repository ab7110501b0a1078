"""What is wrong with a flat table: every fault with its line, its column and what to do."""

import pytest

from handling_db.findings import Verdict
from handling_db.tables import rows as table_rows
from tests.reading import read_table


@pytest.fixture
def faults(tmp_path):
    """Write a text as a table, read it, and give the faults as printed, without the folder in front."""

    def go(text: str | bytes, **options) -> list[str]:
        path = tmp_path / "p.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        found = read_table(path, **options).findings
        assert all(finding.verdict is Verdict.FAULT for finding in found)
        return [str(finding).removeprefix(f"{tmp_path}/") for finding in found]

    return go


NOT_A_NUMBER = "is not a number; write digits alone, as in 12.5; the unit has its own column. Leave empty what is not known."
NOT_PLAIN = "is not one plain figure; write a number and its unit, as in 158.0 kg."
SIZE = "write a figure of a size that exists."


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("nan", f"mass: 'nan' {NOT_A_NUMBER}"),
        ("inf", f"mass: 'inf' {NOT_A_NUMBER}"),
        ("-Infinity", f"mass: '-Infinity' {NOT_A_NUMBER}"),
        ("12 stone", "mass: a stone is 14 lb; write the figure in lb or kg."),
        (
            "12 1/3",
            "mass: '12 1/3': a fraction has 2, 4, 8, 16, 32 or 64 below the line; write it as a decimal figure.",
        ),
        ("1 000", f"mass: '1 000' {NOT_PLAIN}"),
        ("1_000", f"mass: '1_000' {NOT_PLAIN}"),
        ("0x10", f"mass: '0x10' {NOT_PLAIN}"),
        ("12-14", f"mass: '12-14' {NOT_PLAIN}"),
        ("ca. 12", f"mass: 'ca. 12' {NOT_A_NUMBER}"),
        ("12 ± 1 ± 1", "mass: '12 ± 1 ± 1' is not one figure and its doubt; write 158.0 ± 0.5 kg."),
        (".", f"mass: '.' {NOT_A_NUMBER}"),
        ("e5", f"mass: 'e5' {NOT_A_NUMBER}"),
        ("1.2.3", f"mass: '1.2.3' {NOT_A_NUMBER}"),
        ("٣", f"mass: '٣' {NOT_A_NUMBER}"),
        ("x" * 50, f"mass: '{'x' * 37}...' {NOT_A_NUMBER}"),
        ("1" * 41, f"mass: '{'1' * 37}...' has more than 40 characters; round it."),
        ("1e100", f"mass: '1e100' has an exponent beyond 99; {SIZE}"),
        ("1e-400", f"mass: '1e-400' has an exponent beyond 99; {SIZE}"),
        ("2e12", f"mass: '2e12' is beyond 1,000,000,000,000; {SIZE}"),
        ("9" * 13, f"mass: '{'9' * 13}' is beyond 1,000,000,000,000; {SIZE}"),
        ("-3", "mass: -3 is negative; write it without the sign."),
        (
            "0",
            "mass: a mass of 0 would count as weighed; leave the cell empty where nobody weighed it, or give the "
            "step or the doubt of the figure.",
        ),
    ],
)
def test_a_mass_that_cannot_be_read(faults, cell, told):
    """One cell, one fault, on its line."""
    assert [f"p.csv:3: {told}"] == faults(f"parent,child,mass kg\n,a,1\n,b,{cell}\n")


STATE_IT = (
    "no figure of it was taken; say --decimal comma or --decimal point, or write 'decimal: comma' or "
    "'decimal: point' in a cell above the headings."
)


@pytest.mark.parametrize(
    ("delimiter", "cells", "told"),
    [
        (";", ["1.250"], "p.csv:2: mass: X'1.250' may be 1250 or 1.25; "),
        (",", ["1.250"], "p.csv:2: mass: X'1.250' may be 1250 or 1.25; "),
        ("\t", ["12,5", "98,125"], "p.csv:3: mass: X'98,125' may be 98125 or 98.125, and '12,5' (line 2) does not settle it; "),
        (",", ['"12,5"'], "p.csv:2: mass: X'12,5' has a decimal comma, and nothing says that this sheet is written with them; "),
        (",", ["12.5", '"1,250"'], "p.csv:3: mass: X'1,250' may be 1250 or 1.25; "),
        (";", ["12.5"], "p.csv:2: mass: X'12.5' stands in a sheet with ';' between its cells, as those with decimal commas have; "),
        (",", ["1.250 kg"], "p.csv:2: mass: X'1.250 kg' may be 1250 kg or 1.25 kg; "),
    ],
)  # fmt: skip
def test_a_decimal_sign_is_asked_for_once_and_no_figure_is_taken(faults, tmp_path, delimiter, cells, told):
    """What may be 1250 or 1.25 is neither until somebody says so."""
    text = "parent,child,mass kg\n".replace(",", delimiter)
    text += "".join(delimiter.join(["", f"a{i}", cell]) + "\n" for i, cell in enumerate(cells))

    told = told.replace("X", "the decimal sign of this sheet is not stated, and ")
    assert [told + STATE_IT] == faults(text)
    assert read_table(tmp_path / "p.csv").table is None


@pytest.mark.parametrize("delimiter", [",", "\t"])
def test_figures_with_one_reading_are_not_asked_about(faults, delimiter):
    """12.5 beside 98.125 is written with points; whole numbers show no sign and need none."""
    text = "parent,child,mass kg\n,a,12.5\n,b,98.125\n,c,0.250\n,d,1250.125\n,e,12\n"
    assert faults(text.replace(",", delimiter)) == []
    assert faults("parent;child;mass kg\n;a;12\n;b;1250\n") == []


def test_points_where_the_comma_is_decimal(faults):
    """1.500 is a thousand and a half, and 1.5 is written in the other way."""
    assert [
        "p.csv:2: mass: '1.5' has a decimal point, but the table is read with decimal commas; write a comma, or "
        "read the table with decimal points.",
        "p.csv:3: mass: '0.500,5' has a decimal point, but the table is read with decimal commas; write a comma, "
        "or read the table with decimal points.",
        "p.csv:4: mass: '1.5,5' has a decimal point, but the table is read with decimal commas; write a comma, "
        "or read the table with decimal points.",
        f"p.csv:5: mass: '1,5,5' {NOT_A_NUMBER}",
    ] == faults(
        "parent;child;mass kg\n;b;1.5\n;c;0.500,5\n;d;1.5,5\n;e;1,5,5\n;f;1.500,5\n;g;1.500,0\n", decimal="comma"
    )  # fmt: skip


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("", "the quantity is missing; write how many the parent has; nothing is assumed for it."),
        ("  ", "the quantity is missing; write how many the parent has; nothing is assumed for it."),
        ("0", "a quantity of 0 is not above 0; write how many the parent has, or take the row out."),
        ("-2", "a quantity of -2 is not above 0; write how many the parent has, or take the row out."),
        (
            "1e9",
            "a quantity of 1e9 is above 999,999,999; write how many the parent has, or take the row out.",
        ),
        ("nan", f"'nan' {NOT_A_NUMBER}"),
        ("2 boxes", f"'2 boxes' {NOT_A_NUMBER}"),
    ],
)
def test_a_quantity_that_cannot_be_read(faults, cell, told):
    """A row with a parent has to say how many."""
    assert [f"p.csv:3: quantity: {told}"] == faults(f"parent,child,quantity\nbox,a,1\nbox,b,{cell}\n")


def test_no_quantity_at_all(faults):
    """The column missing is said once; empty throughout, row by row."""
    assert faults("parent,child\n,box\nbox,a\nbox,b\n") == [
        "p.csv:1: quantity: this column is missing, and rows with a parent need it; add a column 'quantity'; "
        "nothing is assumed for it."
    ]
    assert [
        f"p.csv:{line}: quantity: the quantity is missing; write how many the parent has; nothing is assumed for it."
        for line in (3, 4)
    ] == faults("parent,child,quantity\n,box,\nbox,a,\nbox,b,\n")


@pytest.mark.parametrize(
    ("unit", "told"),
    [
        ("", "unit: the mass has no unit; write kg, lb or another unit of mass."),
        ("ton", "unit: which ton? Write 't' (1000 kg), 'short ton' (2000 lb) or 'long ton' (2240 lb)."),
        ("lbf", "unit: that is a force, not a mass; write the mass in kg or lb."),
        ("mm", "unit: mm is a length, not a mass; write one of: kg, g, mg, t, lb, oz, short ton, long ton."),
        (
            "bushel",
            "unit: the unit 'bushel' is not known here; write one of: kg, g, mg, t, lb, oz, short ton, long ton.",
        ),
    ],
)
def test_a_unit_that_cannot_be_read(faults, unit, told):
    """A mass without a unit is no mass; a unit without a mass is nothing to complain of."""
    assert [f"p.csv:3: {told}"] == faults(
        f"parent,child,mass,unit\n,a,1,kg\n,b,1,{unit}\n,c,,{unit}\n"
    )  # fmt: skip


def test_units_twice(faults):
    """Heading and cell must not differ."""
    assert faults("parent,child,mass kg,unit\n,a,1,kg\n,b,1,lb\n,c,1,\n") == [
        "p.csv:3: unit: the heading of 'mass' says kg, this cell says lb; make them the same."
    ]


def test_a_stated_whole_needs_its_unit(faults):
    """The unit of the part's mass is not taken for it."""
    assert faults("parent,child,mass,unit,stated,stated_unit\n,a,1,kg,9,\n,b,,,9,lb\n") == [
        "p.csv:2: stated_unit: the stated mass has no unit; write kg, lb or another unit of mass."
    ]


@pytest.mark.parametrize(
    ("heading", "told"),
    [
        ("child", ["parent: this column is missing; add a column headed 'parent': what the piece goes into, "
                   "empty for a root."]),
        ("parent,unit", ["child: this column is missing; add a column headed 'child': one piece a row."]),
        ("parent,child,Child", ["child: the column 'child' is there twice, headed 'child' and 'Child'; keep one "
                                "of the two."]),
        ("parent,child,mass kg,MASS (lb)", ["mass: the column 'mass' is there twice, headed 'mass kg' and "
                                            "'MASS (lb)'; keep one of the two."]),
        ("parent,child,mass", ["mass: the figures have no unit; head it 'mass kg' or 'mass lb', or add a column "
                               "'unit'."]),
        ("parent,child,stated,unit", ["stated: the figures have no unit; head it 'stated kg' or 'stated lb', or "
                                      "add a column 'stated_unit'."]),
        ("parent,child,mass ton", ["mass: the heading 'mass ton' names no unit to read: which ton? Write 't' "
                                   "(1000 kg), 'short ton' (2000 lb) or 'long ton' (2240 lb)."]),
        ("parent,child,mass (each)", ["mass: the figures have no unit; head it 'mass kg' or 'mass lb', or add a "
                                      "column 'unit'."]),
        ("parent,child,x,y mm,z mm", ["x: the figures have no unit; head it 'x mm', or add a column "
                                      "'length_unit'.", "x: x, y, z are headed with different units; head all "
                                      "three with the same unit."]),
        ("parent,child,x mm,y mm", ["z: a place needs all of x, y, z; add the column 'z'; what is left out is "
                                    "not 0."]),
        ("parent,child,cg x,cg y,cg z", [f"cg_{axis}: the figures have no unit; head it 'cg {axis} mm', or add a "
                                         "column 'length_unit'." for axis in "xyz"]),
        ("parent,child,roll", ["roll: the angles have no unit; head it 'roll deg' or 'roll rad'.",
                               "roll: roll needs a place; add the columns x, y, z: where the piece's datum "
                               "lies."]),
        ("parent,child,yaw mm,x mm,y mm,z mm", ["yaw: the heading 'yaw mm' names no unit to read: mm is a "
                                                "length, not a angle; write one of: deg, rad."]),
    ],
)  # fmt: skip
def test_headings_that_cannot_be_read(tmp_path, heading, told):
    """Nothing of the table is read then."""
    path = tmp_path / "p.csv"
    path.write_text(f"\n{heading}\n" + "x," * heading.count(",") + "x\n")

    reading = read_table(path)

    assert reading.table is None
    assert [f"p.csv:2: {text}" for text in told] == [
        str(finding).removeprefix(f"{tmp_path}/") for finding in reading.findings
    ]


def test_doubts_that_make_no_sense(faults):
    """No doubt at all is not believed, and two doubts are one too many."""
    assert faults(
        "parent,child,mass kg,step,plus_minus,u\n,a,1,0,,\n,b,1,,0,\n,c,1,,1,1\n,d,1,,-1,\n,e,1,1,1,\n"
    ) == [
        "p.csv:2: step: a step of 0 says there is no doubt; leave it empty where it is not known.",
        "p.csv:3: plus_minus: a plus_minus of 0 says there is no doubt; leave it empty where it is not known.",
        "p.csv:4: u: plus_minus and u are both given; keep one; plus_minus is the worst case.",
        "p.csv:5: plus_minus: -1 is negative; write it without the sign.",
    ]


BOUNDARY = "write 'as listed', 'as listed without ID, ID' or 'counts ID, ID without ID', or leave it empty (nobody looked)."


@pytest.mark.parametrize(
    ("column", "cell", "told"),
    [
        ("state", "wet", "'wet' is not a state; write dry, drained or filled, or leave it empty."),
        ("boundary", "all of it", f"'all of it' is not a boundary; {BOUNDARY}"),
        ("boundary", "as listed without a,,b", f"'as listed without a,,b' is not a boundary; {BOUNDARY}"),
        (
            "boundary",
            "as listed without none",
            "'as listed without none' needs whose role looked; write 'without none checked by NAME'.",
        ),
        ("build", "8 discs", "'8 discs' is not a build; write name=value, several with ';' between them."),
        ("build", "n=1; n=2", "'n=1; n=2' gives n twice; keep one of the two."),
        ("name", "a\nb", "'a\\nb' has line ends or control characters; write it on one line."),
        ("name", "n" * 201, f"'{'n' * 40}'... has 201 characters; at most 200 fit here."),
        ("source", "s" * 201, f"'{'s' * 40}'... has 201 characters; at most 200 fit here."),
        (
            "child",
            "a  b",
            "'a  b' has odd spaces or control characters; write a plain id such as gear-section.",
        ),
        (
            "parent",
            "a\tb",
            "'a\\tb' has odd spaces or control characters; write a plain id such as gear-section.",
        ),
        ("child", "c" * 81, f"'{'c' * 40}'... has 81 characters; an id has at most 80."),
        ("child", "", "this cell is empty; name the piece the row is about, or take the row out."),
    ],
)
def test_words_that_cannot_be_read(faults, column, cell, told):
    """Every column of words, one fault each."""
    columns = ["parent", "child", "quantity", "mass kg", *{column} - {"parent", "child"}]
    row = dict(zip(columns, ("box", "a", "1", "5", ""), strict=False))
    row[column] = cell
    quoted = ",".join('"' + row[name].replace('"', '""') + '"' for name in columns)

    assert [f"p.csv:3: {column}: {told}"] == faults(
        ",".join(columns) + "\n" + ",".join(["box", "b", "1", "4", ""][: len(columns)]) + f"\n{quoted}\n"
    )


def test_places_that_cannot_be_read(faults):
    """A place in part, a turn without a place, no unit, a set that is turned."""
    assert [
        "p.csv:2: z: the place is incomplete: z is empty; write 0 where it is 0; what is left out is not known.",
        "p.csv:3: x: yaw needs a place: x, y, z are empty; write 0 where it is 0; what is left out is not known.",
        "p.csv:4: length_unit: the place has no unit; write mm, in or another unit of length.",
        "p.csv:5: quantity: 2 pieces with one place have no turn; write a row for each piece with its own place.",
        f"p.csv:6: y: 'up' {NOT_A_NUMBER}",
        "p.csv:7: length_unit: kg is a mass, not a length; write one of: mm, cm, m, in, ft.",
        "p.csv:8: cg_y: the place is incomplete: cg_y, cg_z are empty; write 0 where it is 0; what is left out is "
        "not known.",
    ] == faults(
        "parent,child,quantity,x,y,z,length_unit,yaw deg,cg_x,cg_y,cg_z\n"
        "box,a,1,1,2,,mm,,,,\nbox,b,1,,,,mm,90,,,\nbox,c,1,1,2,3,,,,,\nbox,d,2,1,2,3,mm,90,,,\n"
        "box,e,1,1,up,3,mm,,,,\nbox,f,1,1,2,3,kg,,,,\nbox,g,1,,,,mm,,1,,\n"
    )


def test_all_faults_of_a_row_and_of_a_file(faults):
    """Everything is found in one run, in the order of lines."""
    assert [
        f"p.csv:2: quantity: 'two' {NOT_A_NUMBER}",
        f"p.csv:2: mass: 'heavy' {NOT_A_NUMBER}",
        "p.csv:2: unit: the unit 'bushel' is not known here; write one of: kg, g, mg, t, lb, oz, short ton, long ton.",
        "p.csv:2: state: 'wet' is not a state; write dry, drained or filled, or leave it empty.",
        "p.csv:4: child: this cell is empty; name the piece the row is about, or take the row out.",
        "p.csv:5: this row has 3 cells, the heading line has 6; write one cell for each heading, and quote a cell "
        "that holds ','.",
    ] == sorted(
        faults(
            "parent,child,quantity,mass,unit,state\nbox,a,two,heavy,bushel,wet\nbox,b,1,1,kg,dry\n"
            "box,,1,1,kg,dry\nbox,c,1\n"
        ),
        key=lambda text: (text[6], ["quan", "mass", "unit", "stat", "chil", "this"].index(text[9:13])),
    )


def test_rows_with_faults_are_left_out(tmp_path):
    """The others stay, a part line that can be read too, and the table knows which assembly is not all."""
    path = tmp_path / "p.csv"
    path.write_text(
        "parent,child,quantity,mass kg\nbox,a,1,1\nbox,b,0,1\nbox,c,1\nbox,d,1,2\nbox,d,1,heavy\n"
    )

    table = read_table(path).table

    assert table.codes == ["box", "a", "d"]
    assert (table.usage.child, table.usage.line, table.left_out) == ([1, 2, 2], [2, 5, 6], 3)
    assert table.statements.best == [1.0, 2.0]
    assert (table.incomplete, table.all_incomplete) == ({0}, False)


def test_quotes(faults):
    """A row that is not CSV is left out; a quote that is never closed ends the file, on the line it opens."""
    inside = "put the whole cell in quotes, and double the quotation marks inside it."
    closing = "close the quote, and double a quotation mark that belongs to the text."
    assert [
        "p.csv:2: name: 'two\\nlines' has line ends or control characters; write it on one line.",
        f"p.csv:4: text stands behind a closing quotation mark; {inside}",
        "p.csv:6: quantity: a quantity of 0 is not above 0; write how many the parent has, or take the row out.",
        "p.csv:7: a quotation mark opened in this row is never closed; the rest of the file was not read; "
        f"{closing}",
    ] == faults(
        'parent,child,quantity,name\nbox,a,1,"two\nlines"\nbox,b,1,"5" pipe\nbox,c,1,5" pipe\nbox,d,0,x\n'
        'box,e,1,"open\nbox,f,0,\n'
    )
    long = "x" * 140_000
    assert [
        "p.csv:2: a cell of this row is longer than 131,072 characters, most likely because a quotation mark is "
        f"never closed; the rest of the file was not read; {closing}"
    ] == faults(f'parent,child,quantity\nbox,"a{long},1\nbox,b,0\n')


def test_files_that_are_no_table(faults, monkeypatch):
    """Nothing to read, or not as text."""
    empty = "write a heading line with at least parent and child, and a row for each piece."
    for text in ("", "\n \r\n", "\ufeff", ";;;\n;;;\n", "\n" * 3000):
        assert [f"p.csv:1: the table is empty; {empty}"] == faults(text)
    assert faults("\nparent,child\n\n") == [
        "p.csv:2: there are no rows below the heading line; write a row for each piece."
    ]
    assert faults("parent,child\n,a\n".encode("utf-16")) == []
    assert faults(b"parent,child\r\n,a\r\n,\0b\r\n") == [
        "p.csv:3: there is a NUL byte, which no text has; save the table as CSV, UTF-8."
    ]
    monkeypatch.setattr(table_rows, "MAX_TABLE_BYTES", 5_000_000)
    assert faults(b"parent,child\n" + b"\n" * 5_000_000) == [
        "p.csv:1: the file is larger than 5 MB; split it."
    ]
    monkeypatch.setattr(table_rows, "MAX_ROWS", 1000)
    assert faults("parent,child\n" + ",a\n" * 2000) == [
        "p.csv:1500: there are more than 1,000 rows; split the table."
    ]


def test_many_faults_are_counted(faults):
    """A thousand are listed, the rest are counted."""
    found = faults("parent,child,mass kg\n" + "\n".join(f",a{i},much" for i in range(1500)))

    assert len(found) == 1001
    assert f"p.csv:1001: mass: 'much' {NOT_A_NUMBER}" == found[-2]
    assert found[-1] == (
        "p.csv:1: 500 more of the same verdict (fault) are not listed; deal with those above, then read the table "
        "again."
    )


def test_a_figure_that_waits_for_its_sign_lacks_no_unit(faults):
    """Its unit stands in its own cell; before, that was a second fault of the same cell."""
    found = faults('parent,child,quantity,mass,unit\n,rig,,,\nrig,drum,1,"14,0 ± 0,5 kg",\n')

    assert [line[:14] for line in found] == ["p.csv:3: mass:"]


def test_a_figure_is_named_at_its_own_line_below_a_cell_of_several_lines(faults):
    """Cells with line breaks shifted the place of a figure, past the end of the table in the worst case."""
    text = 'parent,child,mass,unit\nrig,case,"a\nb\nc",kg\nrig,lid,1.250,kg\nrig,pump,"12,5",kg\n'

    told = faults(text, decimal="")

    assert any(one.startswith("p.csv:6: ") and "12,5" in one for one in told) or any(
        one.startswith("p.csv:5: ") and "1.250" in one for one in told
    ), told
