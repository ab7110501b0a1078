"""The one way in: what has a fault is refused by every command with file and line; names lead to one id."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from handling_db import loading
from handling_db.checker import check
from handling_db.checker.proof import STOPPING, faults
from handling_db.cli import COMMANDS, main
from handling_db.database.queries import open_database
from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError
from handling_db.findings import FaultsError, Verdict
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection, collect
from handling_db.records.proved import Records
from tests.mistyped import Reference, mistyped, references

DEMO = Path(__file__).parents[1] / "data" / "demo"

# Found by the reader already, or hidden while what they start from is mistyped too: each in a turn of its own.
BY_THE_READER = {("joint", "ties", "after"), ("job plan", "steps", "temporary out")}
INSIDE = {
    ("component", "attitudes", "rests on"), ("fixture", "takes", "face"), ("job", "ties out", "tie"),
    ("job", "off", "of"), ("joint", "ties", "part"), ("joint", "ties", "stays with"), ("lift group", "takes"),
    ("lift group", "leaves", "of"), ("lift group", "attitude"), ("lift group", "picks", "point"),
    ("job plan", "steps", "ties", "tie"), ("job plan", "steps", "pieces"), ("job plan", "steps", "of"),
    ("job plan", "starts", "attitude"), ("job plan", "steps", "rests", "face"), ("job plan", "steps", "route"),
    ("lift group", "set down", "face"), ("lift group", "turn", "to"), ("lift group", "turn", "rests on"),
    ("job", "steps done", "step"),
}  # fmt: skip


def one_of_each() -> dict[tuple[str, ...], Reference]:
    """The first place of each kind of reference in the demo; of those inside a group, in a group of its own."""
    found: dict[tuple[str, ...], Reference] = {}
    for reference in references(DEMO):
        found.setdefault(reference.signature, reference)
    return found


EACH = one_of_each()


def told(error: str, folder: Path, wanted: list[Reference]) -> list[Reference]:
    """The references whose file and line a message names."""
    places = [f"{folder / one.file.relative_to(DEMO)}:{one.line}:" for one in wanted]
    return [one for one, place in zip(wanted, places, strict=True) if place in error]


def refused(folder: Path) -> str:
    with pytest.raises(FaultsError) as caught:
        loading.read([folder])
    return str(caught.value)


def test_the_demo_refers_in_many_ways() -> None:
    """So that the tests below look at something: kinds of record times fields."""
    assert len(EACH) > 60
    assert {signature[0] for signature in EACH} >= {
        "component",
        "joint",
        "lift group",
        "gear",
        "fixture",
        "job",
    }


@pytest.mark.slow
def test_one_mistyped_id_of_every_kind_of_reference_is_found_with_file_and_line(tmp_path: Path) -> None:
    wanted = [one for kind, one in EACH.items() if kind not in INSIDE | BY_THE_READER]
    copy = mistyped(DEMO, tmp_path, wanted)
    error = refused(copy)
    assert told(error, copy, wanted) == wanted


@pytest.mark.slow
@pytest.mark.parametrize("kind", sorted(INSIDE - {("lift group", "takes"), ("lift group", "leaves", "of")}))
def test_a_mistyped_id_of_something_inside_a_record_is_found(tmp_path: Path, kind: tuple[str, ...]) -> None:
    copy = mistyped(DEMO, tmp_path, [EACH[kind]])
    assert told(refused(copy), copy, [EACH[kind]])


@pytest.mark.slow
@pytest.mark.parametrize("kind", [("lift group", "takes"), ("lift group", "leaves", "of")])
def test_a_mistyped_way_is_found_at_its_own_line(tmp_path: Path, kind: tuple[str, ...]) -> None:
    copy = mistyped(DEMO, tmp_path, [EACH[kind]])
    assert told(refused(copy), copy, [EACH[kind]])


def test_a_mistyped_tie_that_another_comes_after_is_found(tmp_path: Path) -> None:
    copy = mistyped(DEMO, tmp_path, [EACH[("joint", "ties", "after")]])
    assert "comes after 'front-shaftx', which is no tie here" in refused(copy)


# Every command that can read from folders, with the words it needs.
WORDS = {
    "bounds": ["gear-section"],
    "doubt": ["quay-bench-scale"],
    "explain": ["differential-section"],
    "fixtures": ["gear-section"],
    "hands": ["transfer-box"],
    "heavier": ["gear-section", "differential-section"],
    "joint": ["section-joint"],
    "legs": ["upper-half-lift"],
    "level": ["upper-half-lift"],
    "lift": ["upper-half-lift"],
    "lighten": ["upper-half-lift"],
    "move": ["upper-half-lift"],
    "new": ["job plan", "apart", "--for", "transfer-box"],
    "pallets": [],
    "reading": ["upper-half-lift", "384 kg"],
    "reconcile": [],
    "shop": ["low-tarrowby", "section-off-the-truck"],
    "stand": ["upper-half-lift"],
    "steps": ["transfer-box-apart"],
    "sweep": ["lock-clutch-pack", "discs"],
    "turn": ["turn-onto-front-face"],
    "tilt": ["upper-half-lift", "3 deg", "--low", "cover-ear-90"],
    "two-hooks": ["upper-half-lift", "--head", "cover-ear-90", "--tail", "cover-ear-210"],
    "weight": ["transfer-box"],
    "why": ["differential-section"],
}


def reading_from_folders() -> list[str]:
    found = []
    for name in COMMANDS:
        command = main.get_command(click.Context(main), name)
        assert command is not None
        options = {option for one in command.params for option in one.opts}
        if "--from" in options:
            found.append(name)
    return sorted(found)


def test_every_command_with_from_is_tried_below() -> None:
    assert reading_from_folders() == sorted(WORDS)


@pytest.fixture(scope="module")
def with_faults(tmp_path_factory: pytest.TempPathFactory) -> Path:
    kinds = [("component", "parts", "component"), ("lift group", "gear", "gear"), ("joint", "between"),
             ("fixture", "only for"), ("gear", "shop")]  # fmt: skip
    return mistyped(DEMO, tmp_path_factory.mktemp("faults"), [EACH[kind] for kind in kinds])


@pytest.fixture(scope="module")
def refusal(with_faults: Path) -> FaultsError:
    """What reading that folder ends with."""
    with pytest.raises(FaultsError) as caught:
        loading.read([with_faults])
    return caught.value


@pytest.fixture
def read_once(with_faults: Path, refusal: FaultsError, monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """That folder is read once; every command that asks for it is refused as the first was."""
    asked: list[object] = []

    def refuse(paths: Iterable[Path | str], *, how: object = None) -> Records:
        assert [Path(path) for path in paths] == [with_faults]
        asked.append(paths)
        raise refusal.with_traceback(None)

    monkeypatch.setattr(loading, "read", refuse)
    return asked


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(WORDS))
def test_every_command_refuses_records_with_a_mistyped_id(
    with_faults: Path, read_once: list[object], name: str
) -> None:
    """One of a part line, a joint, a lift, gear and a fixture: all of them are told, and nothing else is said."""
    result = CliRunner().invoke(main, [name, *WORDS[name], "--from", str(with_faults)])
    assert result.exit_code == 2
    assert result.stdout == ""
    for part in ("parts[0].component", "gear[0].gear", "between[0]", "only for[0]", "shop: there is no shop"):
        assert part in result.stderr
    assert f"{with_faults / 'components' / 'differential-section.yml'}:" in result.stderr
    assert len(read_once) == 1


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(WORDS))
def test_every_command_answers_from_the_demo_folder(name: str) -> None:
    result = CliRunner().invoke(main, [name, *WORDS[name], "--from", str(DEMO)])
    assert result.exit_code in (0, 1), result.stderr
    assert result.stdout


@pytest.mark.slow
def test_a_part_line_to_nothing_is_an_unknown_part_in_a_calculation(demo: Collection) -> None:
    """Not reached from a face; but where records are put together by hand nothing may drop out."""
    without = collect([(k, r) for k, r in demo.records() if (k, r.id) != ("component", "rear-cover")])
    (dry,) = [one for one in answer(without, "differential-section").states if one.state == "dry"]
    known = answer(demo, "differential-section", without=["rear-cover"]).states[0]
    # what nobody recorded may weigh anything that the weighed whole leaves for it, and is never left out
    assert [named.id for named in dry.unknown] == ["rear-cover"]
    assert dry.high is not None
    assert dry.high > known.high
    assert "inferred" in dry.basis or not dry.complete
    assert without.components["rear-cover"].name == "rear-cover (nothing is recorded under this id)"
    assert "rear-cover" not in without.components


@pytest.mark.slow
def test_faults_are_those_of_the_checker(tmp_path: Path) -> None:
    """The quick proof finds every fault that `check` finds, and no other."""
    wanted = [one for kind, one in EACH.items() if kind not in BY_THE_READER]
    copy = mistyped(DEMO, tmp_path, wanted)
    from handling_db.tables.sources import read_paths

    collection = read_paths([copy]).collection
    every = [finding for finding in check(collection) if finding.verdict is Verdict.FAULT]
    assert every
    assert {finding.rule for finding in every} <= set(STOPPING)
    assert sorted(map(str, faults(collection))) == sorted(map(str, every))


def test_records_come_only_from_what_proved_them() -> None:
    package = Path(loading.__file__).parent
    makers = [
        str(file.relative_to(package))
        for file in sorted(package.rglob("*.py"))
        if "Records.taken_from(" in file.read_text(encoding="utf-8")
    ]
    assert makers == ["loading.py"]


def test_a_table_is_read_as_a_table(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("parent,child,quantity,mass,unit\n,rig,1,,\nrig,frame,1,60,kg\nrig,arm,2,30,kg\n")
    records = loading.read([table])
    assert isinstance(records, Records)
    assert sorted(records.components) == ["arm", "frame", "rig"]
    for command in (["stand", "rig"], ["weight", "rig"], ["move", "rig"]):
        result = CliRunner().invoke(main, [*command, "--from", str(table)])
        assert result.exit_code == 0, result.stderr
        assert "rig" in result.stdout
    assert "Plan with 135 kg" in CliRunner().invoke(main, ["weight", "rig", "--from", str(table)]).stdout
    result = CliRunner().invoke(main, ["lift", "rig", "--from", str(table)])
    assert result.stderr == "handling-db: there is no lift group 'rig'; there are: none\n"


@pytest.mark.slow
def test_names_aliases_and_part_numbers_lead_to_one_id_from_folder_and_file(demo_db: Path) -> None:
    records, connection = loading.read([DEMO]), open_database(demo_db)
    for code, component in records.components.items():
        for text in {code, component.name, component.part_number or code, *component.also_called}:
            assert loading.named(records, text)[1] == loading.named_in_file(connection, text)[1]
            assert loading.named(records, f"  {text.upper()} ")[1] == loading.named(records, text)[1]
    piece = ("lift group", "component")
    for name in ("upper-half-lift", "Upper-Half-Lift", "rear half"):
        assert loading.named(records, name, piece) == loading.named_in_file(connection, name, piece)


def test_a_name_that_nothing_goes_by_is_told_with_what_comes_near(demo: Collection) -> None:
    with pytest.raises(
        UnknownNameError, match="there is no component 'gear-sektion'; did you mean: gear-section"
    ):
        loading.named(demo, "gear-sektion")
    with pytest.raises(UnknownNameError, match="there is no lift group 'zzz'; there are: lower-half, "):
        loading.named(demo, "zzz", ("lift group",))


def test_a_name_of_several_is_asked_back(demo: Collection) -> None:
    again = demo.components["gear-case"].model_copy(update={"component": "second-gear-case"})
    both = collect([*demo.records(), ("component", again)])
    with pytest.raises(AmbiguousNameError, match="second-gear-case"):
        loading.named(both, demo.components["gear-case"].name)


def test_both_ways_in_at_once_are_refused(tmp_path: Path) -> None:
    words = ["weight", "rig", "--from", str(DEMO), "--db", str(tmp_path / "x.db")]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert result.stderr == "handling-db: write --from or --db, not both\n"


def test_a_day_is_read_or_refused() -> None:
    assert loading.day("2026-03-09").isoformat() == "2026-03-09"
    with pytest.raises(HandlingError, match=r"'9\.3\.26' is not a date; write year-month-day"):
        loading.day("9.3.26")
