"""The public interface: few names, loaded when used, the same answers as everywhere, nothing dangerous by default."""

from __future__ import annotations

import datetime
import inspect
import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

import handling_db as hd
from handling_db.cli import main
from tests.sharing.received import HEAVY
from tests.sharing.received import received as taken_in

DEMO = Path(__file__).parents[1] / "data" / "demo"
DAY = datetime.date(2026, 3, 9)


@pytest.fixture(scope="module")
def records(demo_records: hd.Records) -> hd.Records:
    return demo_records


def test_every_name_is_there_and_documented() -> None:
    for name in hd.__all__:
        found = getattr(hd, name)
        assert found.__doc__, name
    assert sorted(hd.__all__) == list(hd.__all__)
    assert set(hd.__all__) <= set(dir(hd))


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'wieght'"):
        hd.wieght  # noqa: B018


def test_importing_costs_nothing_heavy() -> None:
    code = (
        "import sys, handling_db as hd\n"
        "heavy = {'pydantic', 'numpy', 'yaml', 'pint', 'scipy', 'sqlite_utils', 'datasette', 'click'} & sys.modules.keys()\n"
        "assert not heavy, heavy\nassert hd.__version__"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def every_answer(records: hd.Records) -> dict[str, hd.Answer[object]]:
    asked = {"as_of": DAY, "rules": hd.rules()}
    return {
        "weight": hd.weight(records, "rear half"),
        "heavier": hd.heavier(records, "gear-section", "upper-half-lift", state="dry", as_of=DAY),
        "why": hd.why(records, "differential-section", state="dry"),
        "sweep": hd.sweep(records, "lock-clutch-pack", "discs", state="dry"),
        "bounds": hd.bounds(records, "gear-section", state="dry"),
        "reconcile": hd.reconcile(records, state="dry"),
        "explain": hd.explain(records, "differential-section"),
        "doubt": hd.doubt(records, "quay-bench-scale"),
        "lift": hd.lift(records, "upper-half-lift", **asked),
        "turn": hd.turn(records, "turn-onto-front-face", **asked),
        "reading": hd.reading(records, "upper-half-lift", "395 kg", **asked),
        "lighten": hd.lighten(records, "gear-section", under="380 kg", as_of=DAY),
        "move": hd.move(records, "upper-half-lift", as_of=DAY),
        "stand": hd.stand(records, "upper-half-lift", as_of=DAY, slope="3 deg"),
        "hands": hd.hands(records, "transfer-box"),
        "shop_has": hd.shop_has(records, "low-tarrowby", "section-off-the-truck", as_of=DAY),
        "fixtures": hd.fixtures(records, "gear-section", as_of=DAY),
    }


@pytest.mark.slow
def test_every_answer_has_words_in_both_units_and_json(records: hd.Records) -> None:
    for name, answer in every_answer(records).items():
        for first in (None, "kg", "lb"):
            text = answer.words(first=first)
            assert text.strip(), name
            assert "is safe" not in text.lower()
        with pytest.raises(ValueError, match="'stone' is not one of: kg, lb"):
            answer.words(first="stone")
        assert json.loads(json.dumps(answer.to_json())), name


@pytest.mark.slow
def test_the_command_line_says_the_same(records: hd.Records) -> None:
    """One calculation: the terminal prints the words of the interface."""
    said = {
        ("weight", "rear half"): hd.weight(records, "rear half"),
        ("why", "differential-section", "--state", "dry"): hd.why(
            records, "differential-section", state="dry"
        ),
        ("move", "upper-half-lift", "--as-of", "2026-03-09"): hd.move(records, "upper-half-lift", as_of=DAY),
    }
    for words, answer in said.items():
        result = CliRunner().invoke(main, [*words, "--unit", "lb", "--from", str(DEMO)])
        assert result.stdout == answer.words(first="lb") + "\n"


@pytest.mark.parametrize("name", ["lift", "turn", "reading"])
def test_the_day_and_the_rules_have_no_silent_default(records: hd.Records, name: str) -> None:
    words = ["395 kg"] if name == "reading" else []
    for given in ({"as_of": DAY}, {"rules": hd.rules()}):
        with pytest.raises(TypeError, match=r"as_of|rules"):
            getattr(hd, name)(records, "upper-half-lift", *words, **given)


@pytest.mark.parametrize("name", ["check", "gaps", "heavier", "move", "stand", "shop_has", "fixtures"])
def test_the_day_has_to_be_said(name: str) -> None:
    assert inspect.signature(getattr(hd, name)).parameters["as_of"].default is inspect.Parameter.empty


def test_masses_are_pint_quantities_with_exact_figures(records: hd.Records) -> None:
    mass = hd.mass("1,250 lb")
    assert mass.to("kg").magnitude == 1250 * Fraction(45359237, 100000000)
    low, high = hd.mass("41 lb"), hd.mass("25 kg")
    one = hd.lift(records, "lower-half", as_of=DAY, rules=hd.rules(), assume={"auxiliary-drive": (low, high)})
    two = hd.lift(
        records, "lower-half", as_of=DAY, rules=hd.rules(), assume={"auxiliary-drive": "41 lb to 25 kg"}
    )
    assert one.figures == two.figures
    with pytest.raises(hd.HandlingError, match="is not a mass"):
        hd.reading(
            records, "upper-half-lift", low.units._REGISTRY.Quantity(1, "m"), as_of=DAY, rules=hd.rules()
        )
    with pytest.raises(hd.HandlingError, match="assume x: the lower figure comes first"):
        hd.lift(records, "lower-half", as_of=DAY, rules=hd.rules(), assume={"x": (25, 19)})


@pytest.mark.slow
def test_a_database_gives_the_records_it_was_built_of(tmp_path: Path, records: hd.Records) -> None:
    report = hd.build([DEMO], tmp_path / "handling.db")
    stored = hd.open(report.out)
    assert isinstance(stored, hd.Records)
    assert stored.components == records.components
    assert hd.weight(stored, "transfer-box").words() == hd.weight(records, "transfer-box").words()
    with pytest.raises(hd.HandlingError, match="no such folder"):
        hd.build([DEMO], tmp_path / "nowhere" / "handling.db")


def test_faults_are_raised_with_every_finding(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text("- {component: a, name: A, kind: part, centre: here}\n- {component: b}\n")
    with pytest.raises(hd.FaultsError) as caught:
        hd.read([tmp_path])
    assert len(caught.value.findings) >= 2
    found = hd.check([tmp_path], as_of=DAY)
    assert {str(one) for one in caught.value.findings} <= {str(one) for one in found}


def test_what_is_off_has_to_be_in_it(records: hd.Records) -> None:
    with pytest.raises(hd.HandlingError, match="'gear-case' is not in Differential section"):
        hd.weight(records, "rear half", without=["gear-case"])


@pytest.mark.slow
def test_the_package_is_typed(tmp_path: Path) -> None:
    assert (Path(hd.__file__).parent / "py.typed").exists()
    code = (
        "import datetime\nimport handling_db as hd\nrecords = hd.read(['data/demo'])\n"
        "reveal_type(hd.weight(records, 'x').figures.name)\nreveal_type(hd.lift(records, 'x', as_of=datetime.date(2026, 3, 9), rules=hd.rules()).words())\n"
        "hd.weight(records, 3)\nhd.lift(records, 'x', rules=hd.rules())\n"
    )
    (tmp_path / "asks.py").write_text(code)
    command = [sys.executable, "-m", "mypy", str(tmp_path / "asks.py")]
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, cwd=Path(hd.__file__).parents[1]
    )
    assert done.stdout.count('Revealed type is "') == 2, done.stdout
    assert 'has incompatible type "int"; expected "str"' in done.stdout
    assert 'Missing named argument "as_of" for "lift"' in done.stdout


@pytest.fixture(scope="module")
def received(tmp_path_factory: pytest.TempPathFactory) -> hd.Records:
    """A shop that took in a unit of another shop, and a figure that waits, and has reviewed neither."""
    return hd.read([taken_in(tmp_path_factory.mktemp("received") / "own", HEAVY)])


@pytest.mark.slow
def test_every_answer_of_the_interface_is_marked(received: hd.Records) -> None:
    """No answer in Python said that it came from elsewhere and nobody here had looked at it."""
    asked = {"as_of": DAY, "rules": hd.rules()}
    theirs = "component their-unit, from far-shed (not signed)"
    ours = "weighing their-weighing, from far-shed (not signed): it says Rear case 520 kg"
    reach = {"horizontal": 40, "vertical": 75, "travel": 30, "asymmetry": 0, "per_minute": 0.2}
    words = {"duration": "short", "coupling": "poor", "units": "metric"}
    both = {
        "weight": hd.weight(received, "their-unit"),
        "heavier": hd.heavier(received, "rear-section", "their-unit", state="dry", as_of=DAY),
        "why": hd.why(received, "their-unit", state="dry"),
        "bounds": hd.bounds(received, "their-unit", state="dry"),
        "reconcile": hd.reconcile(received, state="dry"),
        "explain": hd.explain(received, "their-unit"),
        "doubt": hd.doubt(received, "their-scale"),
        "move": hd.move(received, "their-unit", as_of=DAY),
        "stand": hd.stand(received, "their-unit", as_of=DAY),
        "hands": hd.hands(received, "their-unit"),
        "hand_index": hd.hand_index(received, "their-unit", **reach, **words),
        "fixtures": hd.fixtures(received, as_of=DAY),
        "shop_has": hd.shop_has(received, "quay", "their-unit", as_of=DAY),
        "lighten": hd.lighten(received, "their-unit", under=1.0, as_of=DAY),
    }
    for name, answer in both.items():
        assert any(theirs in one for one in answer.not_reviewed), name
        assert answer.words().splitlines()[0].startswith("! "), name
        assert answer.to_json()["not_reviewed"] == list(answer.not_reviewed), name
        assert "not_reviewed" not in answer.to_json(marked=False), name
        assert not answer.words(marked=False).startswith("! "), name
    waits = {
        "weight": hd.weight(received, "rear-section"),
        "lift": hd.lift(received, "rear-up", **asked),
        "legs": hd.legs(received, "rear-up", **asked),
        "level": hd.level(received, "rear-up", **asked),
        "reading": hd.reading(received, "rear-up", "400 kg", **asked),
        "two_hooks": hd.two_hooks(received, "rear-up", "ear-front", "ear-behind", **asked),
        "tilt": hd.tilt(received, "rear-up", "3 deg", "ear-front", **asked),
        "joint": hd.joint(received, "halves", as_of=DAY),
    }
    for name, answer in waits.items():
        assert any(ours in one for one in answer.waiting), name
        assert answer.not_reviewed == (), name
        assert f"! {answer.waiting[0]}" in answer.words().splitlines(), name
    answering = {
        name
        for name in hd.__all__
        if inspect.isfunction(getattr(hd, name)) and "Answer[" in str(inspect.signature(getattr(hd, name)))
    }
    # nothing of ours or theirs has a size to sweep, a recorded turn or a planned job
    assert answering - {"sweep", "turn", "steps"} <= both.keys() | waits.keys()
