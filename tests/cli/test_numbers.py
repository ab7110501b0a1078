"""The commands about numbers over the demo: what they say, their JSON, and what they refuse."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run


@pytest.fixture
def ask(run: Run, demo_db: Path) -> Any:
    """Run a command on the demo database; it must end well."""

    def call(*words: str) -> str:
        result = run(*words, "--db", str(demo_db))
        assert result.exit_code == 0, result.stderr
        return str(result.stdout)

    return call


@pytest.fixture
def ask_json(ask: Any) -> Any:
    return lambda *words: json.loads(ask(*words, "--json"))


def test_sweep_goes_through_every_step(ask_json: Any) -> None:
    """The clutch pack is 29.44 + 1.527 N, in each build by its own parts: 47.8 and not 45.6 at N = 12."""
    found = ask_json("sweep", "lock-clutch-pack", "discs", "--state", "dry")

    best = {line["text"]: line["figure"]["best_kg"] for line in found["lines"]}
    assert [*best] == [str(n) for n in range(4, 13)]
    for text, kg in best.items():
        assert kg == pytest.approx(29.44 + 1.527 * int(text), abs=0.005)
    assert f"{best['12']:.1f}" == "47.8"
    assert found["held"] == []


def test_sweep_prints_mass_plan_and_centre_in_both_units(ask: Any) -> None:
    text = ask("sweep", "differential-section", "length", "620 mm", "780 mm", "--state", "dry")

    assert "447.2 ± 3.8 kg (986.0 ± 8.3 lb)" in text
    assert "Plan with 476 kg (1049 lb)" in text
    assert "x 450, y -7, z -509 mm" in text
    assert "held: brake yes, 8 discs (defaults, not confirmed for this unit)" in text
    assert "940 mm" not in text
    assert "Figures, not permission" in text


def test_sweep_on_top_of_a_named_build(ask_json: Any) -> None:
    found = ask_json("sweep", "differential-section", "discs", "8", "12", "--build", "long frame")

    assert {value["name"]: value["text"] for value in found["held"]} == {"length": "780 mm", "brake": "yes"}
    small, large = (line["figure"]["best_kg"] for line in found["lines"])
    assert large - small == pytest.approx(4 * 1.527, abs=0.01)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("lock-clutch-pack", "discs", "13"),
            "discs = 13 is out of range: it goes from 4 to 12 in steps of 1",
        ),
        (("lock-clutch-pack", "width"), "Lock clutch pack has no parameter 'width'; it has: discs"),
        (("clutch-drum", "drum_length"), "go through what it depends on"),
        (
            ("lock-clutch-pack", "discs", "--build", "wide"),
            "Lock clutch pack has no build called 'wide'; it has: none",
        ),
        (
            ("lock-clutch-pack", "discs", "--set", "discs"),
            "--set 'discs': write PARAM=VALUE, such as discs=12",
        ),
    ],
)
def test_sweep_refuses_with_what_to_write(
    run: Run, demo_db: Path, words: tuple[str, ...], message: str
) -> None:
    result = run("sweep", *words, "--db", str(demo_db))

    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


def test_weight_of_a_named_build_says_what_its_figures_were_compared_with(ask: Any) -> None:
    text = ask("weight", "differential-section", "--build", "Long Frame")

    assert "build: length 780 mm; brake yes, 8 discs (defaults, not confirmed for this unit)" in text
    assert "Plan with 476 kg (1049 lb)" in text
    assert "it names no build, so it is compared with the parts of the default build" in text
    assert "it names no build" not in ask("weight", "differential-section")


def test_weight_lists_the_builds_there_are(run: Run, demo_db: Path) -> None:
    result = run("weight", "differential-section", "--build", "wide", "--db", str(demo_db))

    assert result.exit_code == 2
    assert "has no build called 'wide'; it has: short frame, long frame" in result.stderr


def test_why_leads_every_share_to_paper(ask_json: Any) -> None:
    found = ask_json("why", "differential-section", "--state", "dry")

    told = {line["paper"]["id"]: line["paper"] for line in found["lines"] if line["paper"]}
    assert found["shares"]
    for share in found["shares"]:
        paper = told[share["statement"]]
        assert paper["source_name"]
        assert paper["on"]
        assert any(paper[what] for what in ("instrument", "document", "edition", "materials", "by"))
    together = sum(share["pieces"] * share["best"] for share in found["shares"])
    assert together == pytest.approx(found["figure"]["best_kg"])


def test_why_names_source_day_reader_doubt_and_what_is_beside_it(ask: Any) -> None:
    text = ask("why", "rear half")

    assert "Differential section: 447.2 ± 3.8 kg (986.0 ± 8.3 lb), sum of parts" in text
    assert (
        "134.0 kg; Floor scale, Quay Shed Nine (weighed on a scale); platform scale, class III; "
        "2026-09-15, fitter; doubt: stated [9c80af8d0d87]" in text
    )
    assert (
        "beside it: 415 kg / 920 lb, dry; PT-34 handbook (maker's manual); Pellhaven PT-34 transfer box"
        in text
    )
    assert "table of masses" in text


def test_why_says_what_nobody_weighed_and_never_as_zero(ask: Any, ask_json: Any) -> None:
    assert "Auxiliary drive: nobody has weighed it, which is not zero" in ask("why", "gear-section")
    lines = ask_json("why", "gear-section")["lines"]
    unknown = next(line for line in lines if line["id"] == "auxiliary-drive")
    assert unknown["known"] is False
    assert unknown["best"] is None
    assert unknown["high"] is None


def test_why_says_how_the_oil_gets_its_mass(ask: Any) -> None:
    assert "litres times density (" in ask("why", "transfer-box", "--state", "filled")


def test_why_follows_a_copied_figure(run: Run, tmp_path: Path) -> None:
    """A figure copied from another is one witness with it, and leads on to where it was read."""
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "all.yml").write_text(
        "- component: pump\n"
        "  name: Pump\n"
        "  kind: part\n"
        "  masses:\n"
        "    - {id: read, printed: 12 kg, step: 1 kg, source: handbook, where: page 9, on: 2020-01-02}\n"
        "    - id: again\n"
        "      printed: 12 kg\n"
        "      step: 1 kg\n"
        "      source: list\n"
        "      derived: {how: copied, from: [read]}\n"
        "- {source: handbook, name: Handbook, kind: maker's manual, document: Shop handbook}\n"
        "- {source: list, name: Price list, kind: supplier's list, on: 2021-05-06}\n",
        encoding="utf-8",
    )
    result = run("why", "pump", "--from", str(folder))

    assert result.exit_code == 0, result.stderr
    assert "copied from 12 kg; Handbook" in result.stdout
    assert "page 9; 2020-01-02 [read]" in result.stdout

    doubted = json.loads(run("doubt", "Handbook", "--from", str(folder), "--json").stdout)
    assert [(one["id"], one["steps"], one["how"]) for one in doubted["figures"]] == [
        ("read", 0, "read from it"),
        ("again", 1, "copied"),
    ]
    assert [one["id"] for one in doubted["components"]] == ["pump"]


def test_explain_lists_the_two_candidates_and_the_pairs(ask_json: Any, ask: Any) -> None:
    found = ask_json("explain", "differential-section")["explained"]

    assert len(found) == 1
    low, high = found[0]["gap_low"], found[0]["gap_high"]
    assert (f"{low:.1f}", f"{high:.1f}") == ("23.9", "36.0")
    left_out = {cause["about"] for cause in found[0]["causes"] if cause["kind"] == "left out"}
    assert left_out == {"parking-brake", "rear-cover"}
    assert found[0]["pairs"] > 10
    text = ask("explain", "differential-section", "--unit", "lb")
    assert text.splitlines()[3].startswith("PT-34 handbook is 53 to 79 lb (23.9 to 36.0 kg) lighter")
    assert "so that one cause fits proves nothing" in text


def test_explain_says_what_it_could_not_compare(ask: Any) -> None:
    text = ask("explain", "gear-section")

    assert "Cannot be checked:\n  PT-34 handbook: 390 kg / 860 lb, dry: Auxiliary drive has no mass" in text
    assert "That says nothing about the iron" in text


def test_bounds_infer_what_nobody_weighed(ask_json: Any, ask: Any) -> None:
    """Transfer box weighed drained, less everything else in it: 22.3 kg for the auxiliary drive."""
    found = ask_json("bounds", "auxiliary-drive", "--state", "drained")

    (inferred,) = found["inferred"]
    assert f"{inferred['best']:.1f}" == "22.3"
    assert inferred["whole_of"] == "transfer-box"
    bound = found["bounds"][0]
    assert bound["inferred"] is True
    assert bound["own"] is None
    assert (bound["low"], bound["high"]) == pytest.approx((inferred["low"], inferred["high"]), abs=1e-6)
    text = ask("bounds", "gear-section", "--state", "drained")
    assert "inferred from a whole around it" in text
    assert "never used to check that figure" in text


def test_bounds_of_another_unit_use_no_weighing_of_this_one(ask_json: Any, ask: Any) -> None:
    """The weighed whole is serial 1187: of 1188 the parts alone speak, 366.5 kg and up."""
    own = ask_json("bounds", "gear-section", "--serial", "1187")
    other = ask_json("bounds", "gear-section", "--serial", "1188")

    assert own["bounds"][0]["low"] == pytest.approx(385.28)
    assert other["serial"] == 1188
    assert other["bounds"][0]["low"] < 385
    assert not other["bounds"][0]["inferred"]
    assert "Gear section (gear-section), serial 1188, dry" in ask(
        "bounds", "gear-section", "--serial", "1188"
    )


def test_bounds_of_everything(ask: Any) -> None:
    assert "Auxiliary drive" in ask("bounds", "--state", "drained")


def test_bounds_of_a_dry_half_rest_on_the_drained_unit(ask_json: Any) -> None:
    """Dry it had no upper limit, though the unit was weighed drained."""
    bound = ask_json("bounds", "gear-section", "--state", "dry")["bounds"][0]

    assert (bound["low"], bound["high"]) == pytest.approx((385.3, 397.7), abs=0.1)
    assert bound["inferred"]


def test_reconcile_says_what_checks_what(ask_json: Any, ask: Any) -> None:
    found = ask_json("reconcile", "ferry-pinion-group")

    checked = [one for one in found["figures"] if one["normalised"] is not None]
    assert found["freedom"] == 1
    assert checked
    assert found["beyond"] is (found["statistic"] > found["limit"])
    assert found["suspects"] == []
    text = ask("reconcile", "ferry-pinion-group")
    assert "within what chance allows" in text
    assert "does not prove any of them" in text
    assert "Nothing checks anything" in ask("reconcile", "differential-section")


def test_reconcile_refuses_a_significance_that_makes_no_sense(run: Run, demo_db: Path) -> None:
    result = run("reconcile", "--significance", "3", "--db", str(demo_db))

    assert result.exit_code == 2
    assert "a significance of 3 makes no sense; write 0.0001 to 0.5" in result.stderr


def test_doubt_follows_a_scale_up_to_every_total(ask_json: Any, ask: Any) -> None:
    found = ask_json("doubt", "quay-floor-scale")

    steps = {one["id"]: one["steps"] for one in found["components"]}
    assert steps["differential-case"] == 0
    assert steps["differential-section"] == 1
    assert steps["transfer-box"] == 0  # weighed on it drained
    assert all(one["steps"] == 0 for one in found["figures"])
    assert "by way of Differential case" in ask("doubt", "Floor scale, Quay Shed Nine")


def test_doubt_of_a_density_names_the_shapes(ask_json: Any) -> None:
    found = ask_json("doubt", "spheroidal-iron")

    assert found["kind"] == "density"
    assert "differential-case" in {one["component"] for one in found["figures"]}


def test_doubt_suggests_the_near_source(run: Run, demo_db: Path) -> None:
    result = run("doubt", "quay-flor-scale", "--db", str(demo_db))

    assert result.exit_code == 2
    assert "there is no source or material 'quay-flor-scale'; did you mean: quay-floor-scale" in result.stderr


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [
        ("sweep", "lock-clutch-pack", "discs"),
        ("why", "differential-section"),
        ("explain", "differential-section"),
        ("bounds", "gear-section", "--state", "drained"),
        ("bounds", "--state", "drained"),
        ("reconcile", "--state", "drained"),
        ("doubt", "quay-bench-scale"),
    ],
    ids=lambda words: " ".join(words),
)
def test_folder_and_database_give_the_same(
    run: Run, ask: Any, demo_folder: Path, words: tuple[str, ...]
) -> None:
    from_folder = run(*words, "--from", str(demo_folder), "--json")

    assert from_folder.exit_code == 0, from_folder.stderr
    ours, theirs = json.loads(from_folder.stdout), json.loads(ask(*words, "--json"))
    for one in (ours, theirs):  # a folder is read whole, so more stands around
        for field in ("nodes", "figures") if words[0] == "bounds" else ():
            one.pop(field)
    assert _without_places(ours) == _without_places(theirs)


def _without_places(answer: Any) -> Any:
    """The same without files and lines, which a database does not keep for every figure."""
    if isinstance(answer, dict):
        return {key: _without_places(value) for key, value in answer.items() if key != "place"}
    return [_without_places(one) for one in answer] if isinstance(answer, list) else answer


def test_a_folder_with_faults_is_refused_with_all_of_them(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.yml").write_text(
        "- {component: a, name: A, kind: brick}\n- {note: n}\n", encoding="utf-8"
    )
    result = run("why", "a", "--from", str(tmp_path))

    assert result.exit_code == 2
    assert "faults in the records, so nothing is worked out; correct them first:" in result.stderr
    assert result.stderr.count("bad.yml:") >= 2


def test_a_figure_from_an_unknown_source_does_not_go_by_in_silence(run: Run, tmp_path: Path) -> None:
    (tmp_path / "one.yml").write_text(
        "- {component: a, name: A, kind: part, masses: [{printed: 5 kg, source: nowhere}]}\n",
        encoding="utf-8",
    )
    result = run("why", "a", "--from", str(tmp_path))

    assert result.exit_code == 2
    assert "nowhere" in result.stderr


def test_from_and_db_together_are_refused(run: Run, demo_db: Path, demo_folder: Path) -> None:
    result = run("why", "a", "--from", str(demo_folder), "--db", str(demo_db))

    assert result.exit_code == 2
    assert "write --from or --db, not both" in result.stderr


def test_names_in_a_folder_are_found_as_in_a_database(run: Run, demo_folder: Path) -> None:
    assert run("explain", "REAR half", "--from", str(demo_folder)).exit_code == 0
    result = run("explain", "gear sectoin", "--from", str(demo_folder))
    assert result.exit_code == 2
    assert "there is no component 'gear sectoin'; did you mean: gear-section" in result.stderr
