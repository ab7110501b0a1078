"""A large table by whole columns gives what the reader of rows gives, row for row and word for word."""

from __future__ import annotations

import csv
import io
import random
from dataclasses import fields
from pathlib import Path

import pytest

from handling_db.tables import read
from handling_db.tables.bulk import plain as columns
from handling_db.tables.findings import FileFindings
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.read import HowRead, TableReading, read_file

pytestmark = pytest.mark.slow

HEADS = (
    "parent,child,quantity,mass,unit",
    "parent,child,quantity,mass kg",
    "Baugruppe,Child,Stück,Einzelgewicht kg,Einheit",
    "child,parent,quantity,mass,unit,name,colour",
    "parent,child,quantity,mass,unit,step,plus_minus,u,state,boundary,source,name,part number,remark",
    "parent,child,quantity,stated,stated_unit,stated_step,mass,unit,build",
)
HONEST = {
    "quantity": ("1", "1", "2", "14", "2.5", "4 pcs"),
    "mass": ("12.5", "12.5", "158.25", "98", "0.25", "1250.500", "830.0", ""),
    "stated": ("500.5", "", ""),
    "unit": ("kg", "kg", "lb", "EA"),
    "stated_unit": ("kg", "g"),
    "step": ("", "", "0.5"),
    "stated_step": ("", "5"),
    "plus_minus": ("", "", "2"),
    "u": ("", "", "", "0.3"),
    "state": ("", "", "dry", "drained", "trocken"),
    "boundary": ("", "", "as listed", "as listed without none checked by fitter"),
    "build": ("", "", "discs=8; shaft=620 mm"),
    "source": ("", "weighed", "supplier's list", "Catalogue 7", "nameplate"),
    "name": ("", "Deckel", "cover of the gear section, left"),
    "part number": ("", "12-345/6"),
    "remark": ("", "as found"),
    "colour": ("", "grey", "0.500"),
}
HOSTILE = {
    "parent": ("", " box", "Total", "x" * 81, "a\tb", "box  2", "'=cmd", "ß" * 9, "\u00a0"),
    "child": ("", " ", "sum", "child", "EXAMPLE 3", "x" * 200, "a\u200bb", "box ", "Σ"),
    "quantity": ("", "0", "-1", "two", "1,5", "1 000", "1e3", "999999999999", "3.", "×2", " 2", "0.125"),
    "mass": ("0", "-3", "?", "12 kg", "12,5", "1,250", "1.250", "1e3", " 5.5", "158.0 ± 0.5", "3.", "9" * 50, "007.50"),
    "unit": ("bushel", "", "KG ", "mm"),
    "state": ("wet",),
    "boundary": ("all",),
    "build": ("x",),
    "step": ("0", "2 %"),
    "name": ("a\u2028b", "y" * 300, "other"),
    "source": ("z" * 300,),
}  # fmt: skip
WIDE_IDS = ("bolt M12", "Gehäusedeckel links, vorne", "housing-of-the-left-final-drive", "4711", "-lever")

EDGES = (  # below the usual heading, unless they have one of their own; cells apart by commas
    "a\x0cb,c,1,2.5,kg\n", "a,c\x0b,1,2.5,kg\n", "a,c\x85,1,2.5,kg\n", "a,c\u2028d,1,2.5,kg\n",
    "a,e\u0301,1,2.5,kg\na,\xe9,1,2.5,kg\n", "a,B,1,2.5,kg\na,b,1,2.5,kg\n",
    "12345678,123456789,1,2.5,kg\n123456789,12345678x,1,2.5,kg\n", "abcdefgh,abcdefghabcdefgh,1,2.5,kg\n",
    "a,b,12345678,2.5,kg\n", "a,b,123456789,2.5,kg\n", "a,b,0.5,2.5,kg\n", "a,b,007,2.5,kg\n",
    "a,b,+7,2.5,kg\n", "a,b,1e1,2.5,kg\n", "a,b,2.0,2.5,kg\n", "a,b,1.250,2.5,kg\n", "a,b,1.250,25,kg\n",
    "a,b,1,1.250,kg\n", "a,b,1,1.250,kg\na,c,1,1.25,kg\n",
    "!parent;child;quantity;mass;unit\na;b;1;1.25;kg\n", "!parent;child;quantity;mass;unit\na;b;1;125;kg\n",
    "!parent;child;quantity;mass;unit\na;b;1;1,25;kg\n", "a,b,1,2.5,kg", "a,b,1,2.5,kg\n\n\n",
    "a,b,1,2.5,kg\n\na,c,1,2.5,kg\n", "!parent,child,quantity,mass,unit\ra,b,1,2.5,kg\r",
    "!\nparent,child,quantity,mass,unit\na,b,1,2.5,kg\n",
    "! parent , child,quantity,mass,unit\na,b,1,2.5,kg\n",
    "!parent,child,quantity,mass,unit,mass\na,b,1,2.5,kg,3\n",
    "!parent,child,quantity,mass,unit,zz\na,b,1,2.5,kg,3\n", "a,a,1,2.5,kg\n",
    "a,b,1,2.5,kg\nb,a,1,3.5,kg\n", "a,b,1,2.5,kg\nc,b,1,9.5,kg\nd,b,1,2.5,kg\n",
    "a,b,1,,kg\na,b,1,2.5,kg\n", "a,b,1,2.5,kg\na,b,1,2.5,lb\n", "a,b,1,,bushel\na,c,1,2.5,kg\n",
    ",a,,,\na,b,1,2.5,kg\n", ",a,2,,\na,b,1,2.5,kg\n", ",a,1,,\na,b,1,2.5,kg\n,a,1.0,,\n",
    ",a, ,,\na,b,1,2.5,kg\n", ",a,,2.5,kg\n,b,,3.5,kg\n", "", "!parent,child,quantity,mass,unit",
    "!\"parent\",\"child\",\"quantity\",\"mass\",\"unit\"\n\"a\",\"b\",\"1\",\"2.5\",\"kg\"\n",
    "\"a, x\",b,1,2.5,kg\n", "a\"b,b,1,2.5,kg\n", "\"a\"\"b\",b,1,2.5,kg\n", "\"a\nb\",b,1,2.5,kg\n",
    "\"a,b,1,2.5,kg\n", "\"a\"x,b,1,2.5,kg\n", "a'b,'c,1,2.5,kg\n", "a,'=c,1,2.5,kg\n",
    "a\x1fb,\"c\",1,2.5,kg\n", "a, \"c\",1,2.5,kg\n", "\"a\",\"c\",1,2.5,kg\n\n\n",
    "!parent,child,quantity,mass,unit\r\n\"a\",\"c\",1,2.5,kg\r\n",
    "!\ufeffparent,child,quantity,mass,unit\n\"a\",\"c\",1,2.5,kg\n",
    "a,b,1,2.5,kg\nGrand Total,c,1,2.5,kg\n", "a,b,1,2.5,kg\na,summe x,1,2.5,kg\n", "a,\u03a3,1,2.5,kg\n",
    "a,b,1,2.5,kg\nparent,child,1,2.5,kg\n", "a,Example 1,1,2.5,kg\n", "a,\u017fum,1,2.5,kg\n",
    "!parent,child,quantity,mass kg,name\na,b,1,2.5,B\nc,b,1,2.5,B\nd,b,1,2.5,\ne,b,1,,B\n",
    "!parent,child,quantity,mass kg,name\na,b,1,2.5,B\nc,b,1,2.5,C\n", "a,b,1,999999999999999999999,kg\n",
    "a,b,1,0.0000000001,kg\n", "a,b,1,5.0,kg\na,c,1,6.0,kg\na,d,1,7.0,kg\n", "a,b,1,5.,kg\n",
    "a,b,1,\u0665.\u0665,kg\n", "a,b,\u0665,5.5,kg\n",
    b"parent,child,quantity,mass,unit\na,b\xfc,1,2.5,kg\n",
    "parent,child,quantity,mass,unit\na,b\xfc,1,2.5,kg\n".encode("utf-16"),
)  # fmt: skip


def random_table(chance: random.Random, rows: int, faults: float) -> bytes:
    """A table as a shop or a program writes it, with some cells that are odd, or none."""
    head = chance.choice(HEADS)
    delimiter = chance.choice(",,,;\t")
    columns = head.replace("Baugruppe", "parent").replace("Child", "child").replace("Stück", "quantity")
    columns = (
        columns.replace("Einzelgewicht kg", "mass").replace("Einheit", "unit").replace("mass kg", "mass")
    )
    names = columns.split(",")
    ids = [f"{chance.choice('AP')}{number:0{chance.choice((1, 5, 11))}d}" for number in range(rows // 3 + 2)]
    ids += [one for one in WIDE_IDS if not (delimiter == "," and "," in one)]
    comma = chance.random() < 0.15
    weighed: dict[str, dict[str, str]] = {}
    lines = [head.replace(",", delimiter)]
    for _ in range(rows):
        cells = {name: chance.choice(HONEST[name]) for name in names if name in HONEST}
        at = chance.randrange(len(ids) - 1)
        cells["parent"], cells["child"] = ids[at], chance.choice(ids[at + 1 :])
        if chance.random() < 0.05:
            cells["parent"], cells["quantity"] = "", chance.choice(("", "", "1"))
        if chance.random() < 0.8:  # a part is weighed where it is used, in the same words
            kept = {name: text for name, text in cells.items() if name not in ("parent", "child", "quantity")}
            cells |= weighed.setdefault(cells["child"], kept)
        if chance.random() < faults:
            name = chance.choice([name for name in names if name in HOSTILE])
            cells[name] = chance.choice(HOSTILE[name])
        row = [cells[name] for name in names]
        if chance.random() < faults / 3:
            row = chance.choice((row[:-1], [*row, ""], [""], [" "] * len(row), [*row[:-1], '"quoted"']))
        row = [cell.replace(delimiter, " ") if "," not in cell or delimiter == "," else cell for cell in row]
        if comma:
            row = [cell.replace(".", ",") if name in ("mass", "step") and delimiter != "," else cell
                   for name, cell in zip(names, row, strict=False)] + row[len(names) :]  # fmt: skip
        lines.append(delimiter.join(row))
    ending = chance.choice(("\n", "\n", "\r\n"))
    if chance.random() < 0.25:  # as programs write it that quote all cells, or those with odd signs
        out = io.StringIO(newline="")
        writer = csv.writer(out, delimiter=delimiter, lineterminator=ending,
                            quoting=chance.choice((csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC)))  # fmt: skip
        writer.writerows([line.split(delimiter) for line in lines])
        if chance.random() < faults:
            out.write(chance.choice(('"open', 'a "b" c', '"a\nb"', '"a"b', "\x1f")))
        return out.getvalue().encode()
    text = ending.join(lines) + chance.choice(("", ending, ending * 3))
    return chance.choice((b"", b"", b"\xef\xbb\xbf")) + text.encode()


def whole(reading: TableReading) -> object:
    """Everything a table gave, with plain lists in place of arrays."""
    table = reading.table
    if table is None:
        return None, reading.findings
    usage = [list(part) if name in ("parent", "child", "quantity", "line") else part
             for name, part in ((f.name, getattr(table.usage, f.name)) for f in fields(table.usage))]  # fmt: skip
    said = [getattr(table.statements, f.name) for f in fields(table.statements)]
    rest = [getattr(table, f.name) for f in fields(FlatTable) if f.name not in ("usage", "statements")]
    return usage, said, rest, list(table.roots), list(table.remarks), reading.findings


def both(path: Path, how: HowRead, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Hold the two readers against each other; whether whole columns were taken."""
    taken: list[bool] = []
    plain = columns.read_plain

    def seen(*given):
        found = plain(*given)
        taken.append(found is not None)
        return found

    monkeypatch.setattr(columns, "read_plain", seen)
    monkeypatch.setattr(read, "COLUMNS_FROM", -1)
    by_columns = read_file(path, how)
    monkeypatch.setattr(read, "COLUMNS_FROM", 10**9)
    by_rows = read_file(path, how)
    monkeypatch.undo()
    assert [whole(one) for one in by_columns] == [whole(one) for one in by_rows], path.read_bytes()
    return any(taken)


def test_edges(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ends of lines and words, quotes, keys of eight bytes and more, figures that may mean two things."""
    path = tmp_path / "t.csv"
    taken = 0
    for edge in EDGES:
        text = edge if isinstance(edge, bytes) else f"{HEADS[0]}\n{edge}".encode()
        if isinstance(edge, str) and edge.startswith("!"):
            text = edge[1:].encode()
        path.write_bytes(text)
        taken += sum(both(path, HowRead(decimal), monkeypatch) for decimal in ("", "point", "comma"))

    assert len(EDGES) < taken < 2 * len(EDGES)


@pytest.mark.parametrize("faults", [0.0, 0.02, 0.3])
def test_both_readers_give_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, faults: float) -> None:
    chance = random.Random(20261130)
    path = tmp_path / "t.csv"
    taken = 0
    for _ in range(90):
        path.write_bytes(random_table(chance, chance.choice((1, 3, 12, 40)), faults))
        how = HowRead(chance.choice(("", "", "point", "comma")))
        taken += both(path, how, monkeypatch)

    assert taken > (15 if faults < 0.1 else 0)  # of those with nothing odd, most are plain
    assert taken < 90


def test_over_many_chunks_and_blocks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a decimal sign is told by may stand anywhere; rows go over the edge of what is looked at together."""
    chance = random.Random(5)
    path = tmp_path / "t.csv"
    taken = 0
    for _ in range(6):
        path.write_bytes(random_table(chance, 1700, chance.choice((0.0, 0.0, 0.001))))
        monkeypatch.setattr("handling_db.tables.bulk.byte_cells._BLOCK", chance.choice((1, 100, 3_000)))
        monkeypatch.setattr("handling_db.tables.bulk.plain._TOGETHER", chance.choice((7, 500)))
        taken += both(path, HowRead(), monkeypatch)

    assert taken


def test_keys_that_clash_are_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two long ids of one key: nothing is taken by columns, and the two stay two."""
    monkeypatch.setattr("handling_db.tables.bulk.byte_cells._MIX", (0, 0))
    path = tmp_path / "t.csv"
    path.write_text("parent,child,quantity\n,long-name-of-a-rig,\nlong-name-of-a-rig,long-name-of-a-box,2\n")
    monkeypatch.setattr(read, "COLUMNS_FROM", -1)
    (found,) = read_file(path)

    assert found.table is not None
    assert found.table.codes == ["long-name-of-a-rig", "long-name-of-a-box"]
    assert columns.read_plain(path.read_bytes(), read.Numbers(",", ""), FileFindings("t"), None) is None
