"""What commands print with ``--json`` is what its schema says, and the schema refuses anything else."""

from __future__ import annotations

import copy
import functools
import json
import random
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import jsonschema
import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.fleet.engine import Bounds
from handling_db.fleet.write import write_tables
from handling_db.interface.answer_schemas import FORMS, answer_schema, answer_schemas
from handling_db.interface.schema_of import Definitions, described
from tests.attacks.parcels import own_tree, parcel
from tests.fleet.neighbours import heavier

pytestmark = pytest.mark.slow

NEEDS = "--as-of 2026-11-25"
OPTIONAL = ("not_reviewed", "waiting", "weighing")  # there only where there is something to say
BESIDE = '--assume "auxiliary-drive=19 kg to 25 kg"'
# Run on the demo; FOLDER is a copy of its records, PARCEL one from another shop, TABLE a sheet.
EXAMPLES = (
    "weight transfer-box",
    "weight differential-section --without parking-brake --state dry",
    "weight lock-clutch-pack --set discs=12",
    "weight auxiliary-drive",
    "check FOLDER " + NEEDS,
    "find spline",
    "find nothing-at-all",
    "notes transfer-box",
    "build FOLDER -o out.db",
    "why differential-section",
    "explain differential-section",
    "bounds gear-section --state drained",
    "bounds",
    "reconcile ferry-pinion-group",
    "reconcile",
    "doubt quay-floor-scale",
    "sweep lock-clutch-pack discs --state dry",
    "gaps FOLDER " + NEEDS,
    "history FOLDER PARCEL",
    "joint section-joint --job qsn-1187",
    "joint stack-joint",
    *(f"lift {name} {NEEDS}" for name in ("upper-half-lift", "upper-half-with-brake", "whole-unit-lift", "section-off-the-truck")),
    f"lift lower-half --job qsn-1187 {NEEDS}",
    f"legs upper-half-with-brake {NEEDS}",
    f"level upper-half-lift {NEEDS}",
    f'tilt upper-half-lift "3 deg" --low cover-ear-90 {NEEDS}',
    f'reading upper-half-lift "445 kg" --job qsn-1187 {NEEDS}',
    f"turn turn-onto-front-face {BESIDE} --job qsn-1187 {NEEDS}",
    f"two-hooks upper-half-lift --head cover-ear-90 --tail cover-ear-210 {NEEDS}",
    f"steps transfer-box-apart {NEEDS}",
    f"steps transfer-box-apart --without caliper-off {NEEDS}",
    f"lighten section-broken-loose-tarrowby {NEEDS}",
    f"lighten transfer-box --under 600kg {NEEDS}",
    f"lighten upper-half-lift {NEEDS}",
    "heavier rear-cover parking-brake",
    "heavier upper-half-lift lower-half",
    "move upper-half-lift --shop quay-shed-nine",
    'move gear-section --state dry --scale "402 kg" --scale-doubt "1 kg"',
    "move transfer-box",
    "stand upper-half-lift",
    "pallets",
    "pallets gear-case gear-case-cover differential-case --pallet saddle-pallet",
    "hands transfer-box --shop quay-shed-nine",
    "hands output-gear --reach 40 --height 75 --travel 30 --turn 0 --per-minute 0.2 --duration short --grip poor",
    "fixtures gear-section",
    "fixtures",
    "shop low-tarrowby section-off-the-truck --before quay-shed-nine",
    "sheet TABLE",
    "fleet total FLEET OTHER --out totals.csv",
    "fleet missing FLEET OTHER",
    "fleet disagree FLEET OTHER",
    "fleet where-used quay-shed-nine:gear-case FLEET OTHER --any-maker",
    "parcel look FOLDER PARCEL",
    "parcel take FOLDER PARCEL",  # prints no JSON; what follows is marked with what it brought
    "parcel review FOLDER",
    "weight their-unit --from FOLDER",
    "job open one-2 transfer-box --serial 1188 --in FOLDER --by fitter",
    "job tie-out one-2 section-joint dowels --in FOLDER --by fitter",
    "job tie-in one-2 section-joint red --what M10 --count 4 --out-by lift --in FOLDER --by fitter",
    "job tie-out one-2 section-joint red --count 4 --in FOLDER --by fitter",
    "job off one-2 differential-section parking-brake --in FOLDER --by fitter",
    'job reading one-2 upper-half-lift "386 kg" --in FOLDER --by fitter',
    'job reading one-2 upper-half-lift "386 kg" --free quay-hoist-cell --in FOLDER --by rigger',
    'job weighed one-2 differential-section --gross "452 kg" --tare "12 kg" --state drained --source quay-floor-scale '
    "--in FOLDER --by fitter",
    "job confirm WEIGHING --in FOLDER --by foreman",
    "job open one-3 transfer-box --serial 1189 --in FOLDER --by fitter",
    "job follow one-3 transfer-box-apart --in FOLDER --by fitter",
    'job done one-3 drain-oil --differs "19 L came" --in FOLDER --by fitter',
    "job where one-3 --from FOLDER",
    "job close one-2 --in FOLDER --by fitter",
)  # fmt: skip


@pytest.fixture(scope="module")
def printed(
    demo_folder: Path, demo_db: Path, tmp_path_factory: pytest.TempPathFactory
) -> list[tuple[str, Any]]:
    """Every example as its command and what it printed."""
    work = tmp_path_factory.mktemp("answers")
    shutil.copytree(demo_folder, work / "records")
    sheet = work / "parts.csv"
    sheet.write_text("item,qty,weight kg\nhousing,1,41.5\nshaft,2,\nbolts,12,heavy\n")
    sent = parcel(work / "sent.zip", own_tree(random.Random(1)))
    names = {"FOLDER": work / "records", "PARCEL": sent, "TABLE": sheet, "out.db": work / "out.db"}
    names |= {"FLEET": work / "fleet", "OTHER": work / "other", "totals.csv": work / "totals.csv"}
    write_tables(demo_db, names["FLEET"], "quay-shed-nine", Bounds())
    write_tables(heavier(work), names["OTHER"], "low-tarrowby", Bounds())
    found = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HANDLING_DB_HOME", str(work))
        shutil.copy(demo_db, work / "handling.db")
        for example in EXAMPLES:
            words = [str(names.get(word, word)) for word in shlex.split(example)]
            if example.startswith("parcel take"):
                assert CliRunner().invoke(main, words).exit_code == 0
                continue
            result = CliRunner().invoke(main, [*words, "--json"])
            assert result.exit_code in (0, 1, 2, 3), f"{example}: {result.output}"
            assert result.stdout, f"{example}: {result.stderr}"
            command = " ".join(words[:2]) if words[0] in ("parcel", "job", "fleet") else words[0]
            found.append((command, json.loads(result.stdout)))
            names["WEIGHING"] = found[-1][1].get("weighing", "")
    return found


@functools.cache
def check_of(command: str) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(answer_schema(command))


def commands(group: click.Group, words: tuple[str, ...] = ()) -> Iterator[str]:
    """The words of every command that takes ``--json``."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from commands(command, (*words, name))
        elif command is not None and any("--json" in option.opts for option in command.params):
            yield " ".join((*words, name))


def test_every_command_with_json_has_a_schema() -> None:
    assert set(commands(main)) - {"schema"} == FORMS.keys()  # what `schema` prints is a schema


def test_every_command_with_json_has_an_example(printed: list[tuple[str, Any]]) -> None:
    assert {command for command, _ in printed} == FORMS.keys()


def test_what_is_printed_is_what_the_schema_says(printed: list[tuple[str, Any]]) -> None:
    told = [
        f"{command}: {error.json_path}: {error.message[:200]}"
        for command, answer in printed
        for error in check_of(command).iter_errors(answer)
    ]

    assert told == []
    assert any("not_reviewed" in answer for _, answer in printed)


def damaged(value: Any, rng: random.Random) -> Any:
    """A copy with one figure or text in it of another kind, as deep as chance goes."""
    made = copy.deepcopy(value)
    places = [(made, key) for key in made if key not in (*OPTIONAL, "counts", "files")]
    inside, key = rng.choice(places)
    while rng.randrange(5):
        below = inside[key]
        keys = (
            list(below)
            if isinstance(below, dict)
            else list(range(len(below)))
            if isinstance(below, list)
            else []
        )
        if not keys or key == "facts":  # facts are as the kind of notice has them
            break
        inside, key = below, rng.choice(keys)
        if key == "facts":
            break
    inside[key] = 7 if isinstance(inside[key], dict) else {"no such": 7}
    return made


def test_the_schema_refuses_garbage(printed: list[tuple[str, Any]]) -> None:
    rng = random.Random(1)
    for command, answer in printed:
        check = check_of(command)
        for key in rng.sample([key for key in answer if key not in OPTIONAL], 1):
            assert not check.is_valid({name: value for name, value in answer.items() if name != key}), key
            wrong = 7 if isinstance(answer[key], dict) else {"no such": 7}
            assert not check.is_valid({**answer, key: wrong}), f"{command}: {key}"
        assert not check.is_valid({**answer, "best_mass": 1})
        assert not check.is_valid([answer])
        assert not check.is_valid({})
        assert not check.is_valid(damaged(answer, rng)), command


def test_the_schemas_are_schemas_and_each_needs_nothing_else() -> None:
    jsonschema.Draft202012Validator.check_schema(answer_schemas())
    for command in FORMS:
        schema = answer_schema(command)
        for name in (part.split('"')[0] for part in json.dumps(schema).split("#/$defs/")[1:]):
            assert name in schema["$defs"], (command, name)


def test_schema_command(run: Any) -> None:
    assert json.loads(run("schema", "--answers", "lift").stdout) == answer_schema("lift")
    assert json.loads(run("schema", "--answers").stdout) == answer_schemas()
    refused = run("schema", "--answers", "hoist")
    assert refused.exit_code == 2
    assert "no command 'hoist' prints JSON; those that do: weight, heavier," in refused.stderr


def test_fields_carry_what_their_class_says_of_them() -> None:
    class Example:
        """Something.

        Parameters
        ----------
        low, high : float
            Limits of it,
            worst case. [kg]
        name : str
        words : tuple of str
            Said.

        Not a field.
        """

    assert described(Example) == {
        "low": "Limits of it, worst case. [kg]",
        "high": "Limits of it, worst case. [kg]",
        "words": "Said.",
    }


def test_a_type_without_a_form_in_json_is_refused() -> None:
    with pytest.raises(TypeError, match="no JSON is written for <class 'complex'>"):
        Definitions({}, {}, {}).of(complex)
