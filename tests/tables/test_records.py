"""A small flat table as records: the same content, each figure with its line, and what totals make of it."""

import math
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.errors import HandlingError
from handling_db.findings import Place
from handling_db.records.collection import Collection, collect
from handling_db.tables.kinds import shipped_kinds
from handling_db.tables.records import table_records
from handling_db.weights.witness import witnesses
from tests.reading import read_table


@pytest.fixture
def records(tmp_path):
    """Write a text as a table and turn it into records, with the kinds of source beside them."""

    def go(text: str, name: str = "parts.csv") -> Collection:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8", newline="")
        table = read_table(path).table
        reading = table_records(table)
        assert reading.findings == ()
        kinds = [("source kind", kind) for kind in shipped_kinds().values()]
        return collect([*reading.collection.records(), *kinds], reading.collection.lines)

    return go


FULL = """parent,child,quantity,mass,unit,step,plus_minus,u,state,boundary,build,x mm,y mm,z mm,roll deg,yaw deg,\
cg_x mm,cg_y mm,cg_z mm,stated,stated_unit,stated_step,source,name
,box,,,,,,,dry,as listed,,,,,,,,,,920,lb,10,handbook 3,Gear box
box,case,1,158,kg,,0.5,,,,,10,-2.5,30,0,90,1,2,3,,,,Weighed,
box,bolt,14,1.67e-1,kg,0.01,,,,,,,,,,,,,,,,,,M16 bolt
box,bolt,2.5e1,,,,,,,,,1,2,3,,,,,,,,,,
box,oil,0.5,12,kg,,,0.2,filled,"counts oil without none checked by foreman",discs=8; l=3 mm,,,,,,,,,,,,,
"""


def test_every_column(records):
    """What stands in the table stands in the records, as it was written."""
    collection = records(FULL)

    box, case, bolt, oil = (collection.components[code] for code in ("box", "case", "bolt", "oil"))
    assert box.as_written() == {
        "component": "box",
        "name": "Gear box",
        "kind": "assembly",
        "parts listed": "all",
        "parts": (
            {
                "component": "case",
                "quantity": "1",
                "at": ("10 mm", "-2.5 mm", "30 mm"),
                "turned": {"roll": "0 deg", "yaw": "90 deg"},
            },
            {"component": "bolt", "quantity": "14"},
            {"component": "bolt", "quantity": "25", "at": ("1 mm", "2 mm", "3 mm")},
            {"component": "oil", "quantity": "0.5"},
        ),
        "masses": (
            {
                "printed": "920 lb",
                "step": "10 lb",
                "state": "dry",
                "counts": "as listed",
                "source": "handbook 3",
            },
        ),
    }
    assert case.as_written() == {
        "component": "case",
        "name": "case",
        "kind": "part",
        "masses": ({"printed": "158 kg", "plus or minus": "0.5 kg", "source": "parts.csv: weighed"},),
        "centre": ("1 mm", "2 mm", "3 mm"),
    }
    assert bolt.masses[0].as_written() == {"printed": "1.67e-1 kg", "step": "0.01 kg", "source": "parts.csv"}
    assert (Fraction(167, 1000), Fraction(1, 1000)) == (
        bolt.masses[0].printed.base,
        bolt.masses[0].printed.step_base,
    )
    assert oil.masses[0].as_written() == {
        "printed": "12 kg",
        "u": "0.2 kg",
        "state": "filled",
        "counts": ["oil"],
        "without": "none",
        "checked by": "foreman",
        "build": {"discs": "8", "l": "3 mm"},
        "source": "parts.csv",
    }
    assert oil.masses[0].boundary_known
    assert not box.masses[0].boundary_known
    assert [Fraction(n) for n in ("1", "14", "25", "0.5")] == [part.quantity.number for part in box.parts]


def test_sources(records):
    """Named like a kind: of that kind, for this file. Any other name, and the file itself: nobody said."""
    collection = records(FULL)

    assert [collection.sources[name].as_written() for name in sorted(collection.sources)] == [
        {"source": "handbook 3", "name": "handbook 3", "kind": "not said"},
        {"source": "parts.csv", "name": "parts.csv", "kind": "not said"},
        {"source": "parts.csv: weighed", "name": "parts.csv: weighed on a scale", "kind": "weighed"},
    ]


def test_lines(records, tmp_path):
    """Each part line and mass is found again on its line of the file."""
    collection = records(FULL)

    def place(*path):
        found = collection.place("component", *path)
        assert str(tmp_path / "parts.csv") == found.file
        return found.line

    assert [place("box"), *(place("box", "parts", i) for i in range(4))] == [2, 3, 4, 5, 6]
    assert [place(code, "masses", 0) for code in ("box", "case", "bolt", "oil")] == [2, 3, 4, 6]
    assert [place("case"), place("case", "centre"), place("bolt")] == [3, 3, 4]
    assert Place(str(tmp_path / "parts.csv"), 2) == collection.place("source", "handbook 3")


def test_a_component_stands_where_its_own_row_is(records):
    """Even if it was named as a parent before."""
    collection = records("parent,child,quantity\nbox,a,1\nunit,box,1\n")

    assert collection.place("component", "box").line == 3
    assert collection.place("component", "unit").line == 3


def test_long_names_of_sources(records):
    """A name that is no id gets one that starts like it."""
    name = "the third edition of the handbook of the transfer box, " * 2
    collection = records(f'parent,child,mass kg,source\n,a,1,"{name.strip()}"\n')

    (source,) = collection.sources.values()
    assert name.strip() == source.name
    assert source.id.startswith("the third edition of the handbook of the transfer box, the ")
    assert len(source.id) <= 80
    assert source.id == collection.components["a"].masses[0].source


def test_left_out_rows_leave_the_list_open(tmp_path):
    """With a row left out the parts listed are some, never all."""
    path = tmp_path / "parts.csv"
    path.write_text("parent,child,quantity\nbox,a,1\nbox,b,0\n")

    reading = table_records(read_table(path).table)

    assert reading.collection.components["box"].parts_listed == "some"


def test_too_many_rows_for_records(tmp_path):
    """A large table is built into a database as it is."""
    path = tmp_path / "parts.csv"
    path.write_text("parent,child,quantity\n" + "".join(f"box,a{i},1\n" for i in range(20_001)))

    with pytest.raises(HandlingError) as refused:
        table_records(read_table(path).table)
    assert (
        f"{path}: 20,001 rows are too many to turn into records (at most 20,000); build a database from it instead."
    ) == str(refused.value)


@pytest.mark.slow
def test_twenty_thousand_rows(records):
    """The largest table that becomes records, with every quantity and mass in its place."""
    count = 20_000
    collection = records(
        "parent,child,quantity,mass,unit\n"
        + "".join(f"a{(i - 1) // 10},a{i},{i % 5 + 1},{i}.5,kg\n" for i in range(1, count + 1))
    )

    assert count + 1 == len(collection.components)
    parts = [part for component in collection.components.values() for part in component.parts]
    assert count == len(parts)
    assert sum(i % 5 + 1 for i in range(1, count + 1)) == sum(part.quantity.number for part in parts)
    masses = {code: component.masses for code, component in collection.components.items()}
    assert masses.pop("a0") == ()
    assert all(Fraction(f"{code[1:]}.5") == mass.printed.base for code, (mass,) in masses.items())
    assert all(collection.place("component", code, "masses", 0).line == int(code[1:]) + 1 for code in masses)


KINDS = sorted(shipped_kinds())


@pytest.mark.slow
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    rows=st.lists(
        st.tuples(
            st.one_of(
                st.integers(1, 10**6).map(str),
                st.decimals(min_value="0.01", max_value="1e5", places=2).map(str),
                st.floats(1e-5, 1e6).map(repr),
            ),
            st.sampled_from(["kg", "lb", "t", "oz", "g", "short ton"]),
            st.sampled_from(["", "", "0.5", "3", "1e-2"]),
            st.sampled_from([("", ""), ("", ""), ("2", ""), ("", "0.25")]),
            st.sampled_from(["", "handbook", *KINDS]),
        ),
        min_size=1,
        max_size=12,
    )
)
def test_doubts_are_those_of_the_records(tmp_path, records, rows):
    """Best, low, high and u in floats are what the exact calculation makes of the same rows as records."""
    text = "parent,child,mass,unit,step,plus_minus,u,source\n" + "".join(
        f',c{i},{mass},{unit},{step},{pm},{u},"{source}"\n'
        for i, (mass, unit, step, (pm, u), source) in enumerate(rows)
    )
    collection = records(text, "random.csv")
    to = read_table(tmp_path / "random.csv").table.statements

    for i in range(len(rows)):
        (witness,) = witnesses(collection, collection.components[f"c{i}"])
        exact = witness.mass
        assert math.isclose(to.best[i], exact.best, rel_tol=1e-14)
        assert math.isclose(to.best[i] + to.above[i], exact.high, rel_tol=1e-14)
        assert math.isclose(to.best[i] - to.below[i], exact.low, rel_tol=1e-14, abs_tol=to.best[i] * 1e-14)
        assert witness.doubt_from == to.doubt[i].replace(" assumed", "")
        assert witness.step_assumed == ("assumed" in to.doubt[i])
        if i in to.u:
            assert math.isclose(to.u[i], exact.u, rel_tol=1e-12)
