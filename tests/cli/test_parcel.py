"""Parcels, observations, gaps, history and skeletons at the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from handling_db.files.folders import data_folder, read_collection
from handling_db.files.reading import read_texts
from handling_db.files.skeletons import kinds, skeleton
from tests.cli.conftest import Run

DAY = ("--on", "2026-11-25")


@pytest.fixture
def quay(tmp_path: Path) -> Path:
    folder = tmp_path / "quay"
    shutil.copytree(data_folder() / "demo", folder)
    return folder


@pytest.fixture
def tarrowby(tmp_path: Path) -> Path:
    folder = tmp_path / "tarrowby"
    folder.mkdir()
    return folder


def sent(run: Run, quay: Path, tarrowby: Path, component: str = "lock-clutch-pack") -> Path:
    out = tarrowby.parent / "out.zip"
    made = run(
        "parcel", "make", str(quay), "-o", str(out), "--component", component,
        "--shop", "quay-shed-nine", "--by", "foreman", *DAY,
    )  # fmt: skip
    assert made.exit_code == 0, made.stderr
    assert made.stdout.startswith(f"{out}: component {component}, ")
    assert made.stdout.endswith(" bytes, not signed\n")
    return out


@pytest.mark.slow
def test_make_look_take_review(run: Run, quay: Path, tarrowby: Path) -> None:
    out = sent(run, quay, tarrowby)

    look = run("parcel", "look", str(tarrowby), str(out))
    assert look.exit_code == 0
    assert look.stdout.startswith(
        f"not signed: {out}: component lock-clutch-pack, from quay-shed-nine, made by "
    )
    assert "0 same, 0 different, 0 contradictory" in look.stdout
    assert "new: component friction-disc: Friction disc" in look.stdout
    assert not list(tarrowby.rglob("*.yml")), "looking changes nothing"

    taken = run("parcel", "take", str(tarrowby), str(out), *DAY)
    assert taken.stdout.endswith(f"nothing of it is reviewed yet: handling-db parcel review {tarrowby}\n")
    assert "it was taken already" in run("parcel", "take", str(tarrowby), str(out)).stdout

    listed = run("parcel", "review", str(tarrowby), "--list")
    assert "not yet reviewed: component friction-disc, from quay-shed-nine [" in listed.stdout
    count = int(listed.stderr.split("open: ")[1])
    as_json = json.loads(run("parcel", "review", str(tarrowby), "--json").stdout)["questions"]
    assert len(as_json) == count

    decisions = tarrowby.parent / "decisions.yml"
    decisions.write_text("- {decision: accept, from shop: quay-shed-nine, by: foreman, reason: Seen.}\n")
    done = run("parcel", "review", str(tarrowby), "--decisions", str(decisions), *DAY)
    assert done.exit_code == 0
    assert done.stdout.count("decided: ") == count
    assert run("parcel", "review", str(tarrowby), "--list").stderr == "open: 0\n"
    again = run("parcel", "review", str(tarrowby), "--decisions", str(decisions))
    assert again.exit_code == 1
    assert again.stderr == "nothing open is meant by the decision 'accept' on from quay-shed-nine\n"


@pytest.mark.slow
def test_a_database_spares_reading_all_records_and_says_the_same(
    run: Run, quay: Path, tarrowby: Path, tmp_path: Path
) -> None:
    database = tmp_path / "quay.db"
    assert run("build", str(quay), "-o", str(database)).exit_code == 0
    out = sent(run, quay, tarrowby)
    again = tmp_path / "again.zip"
    words = ("--component", "lock-clutch-pack", "--shop", "quay-shed-nine", "--by", "foreman", *DAY)
    made = run("parcel", "make", str(quay), "-o", str(again), *words, "--db", str(database))
    assert (made.exit_code, made.stderr) == (0, "")
    assert again.read_bytes() == out.read_bytes()
    plain = run("parcel", "look", str(quay), str(out))
    asked = run("parcel", "look", str(quay), str(out), "--db", str(database))
    assert (asked.stdout, asked.stderr, asked.exit_code) == (plain.stdout, "", plain.exit_code)
    taken = run("parcel", "take", str(quay), str(out), *DAY, "--db", str(database))
    assert (taken.stdout.splitlines()[:2], taken.stderr) == (plain.stdout.splitlines()[:2], "")

    edited = quay / "components" / "lock-clutch-pack.yml"
    edited.write_text(edited.read_text(encoding="utf-8") + "# looked through\n", encoding="utf-8")
    after = run("parcel", "look", str(quay), str(out), "--db", str(database))
    assert after.stderr == f"({database}: {edited} changed; all records were read)\n"
    nowhere = run("parcel", "look", str(quay), str(out), "--db", str(tmp_path / "none.db"))
    assert nowhere.exit_code == 2
    assert "none.db: there is no such database; build it with 'handling-db build'" in nowhere.stderr


def test_a_name_that_many_bear_is_told_in_one_line(run: Run, tarrowby: Path, tmp_path: Path) -> None:
    part = "- {{component: {code}, name: {name}, kind: part}}\n"
    cases = "".join(part.format(code=f"case-{n:02d}", name="Case") for n in range(11))
    (tarrowby / "r.yml").write_text(cases + part.format(code="ring", name="Ring"))
    far = tmp_path / "far"
    far.mkdir()
    (far / "r.yml").write_text(part.format(code="new", name="Case") + part.format(code="other", name="Cases"))
    out = tmp_path / "far.zip"
    run("parcel", "make", str(far), "-o", str(out), "--all", "--shop", "far", "--by", "foreman", *DAY)
    look = run("parcel", "look", str(tarrowby), str(out))
    assert look.stdout.count("perhaps one thing: ") == 8
    told = "  3 more here go by a name like that of new, not held against it, and so for 1 more\n"
    assert told in look.stdout
    as_json = json.loads(run("parcel", "look", str(tarrowby), str(out), "--json").stdout)
    assert as_json["more_alike"] == [{"there": "new", "count": 3}, {"there": "other", "count": 3}]


def test_review_asks_and_writes_each_answer_at_once(run: Run, quay: Path, tarrowby: Path) -> None:
    run("parcel", "take", str(tarrowby), str(sent(run, quay, tarrowby)), *DAY)

    asked = run(
        "parcel", "review", str(tarrowby), "--by", "foreman", *DAY, stdin="a\nSeen.\nr\nNot ours.\nl\nq\n"
    )

    assert asked.exit_code == 0
    assert asked.stdout.count("written: ") == 2
    reviews = read_collection([tarrowby], settled=False).collection.reviews
    assert sorted(review.decision for review in reviews.values()) == ["accept", "refuse"]
    assert {(review.by, review.reason) for review in reviews.values()} == {
        ("foreman", "Seen."),
        ("foreman", "Not ours."),
    }


def test_review_says_what_it_needs(run: Run, quay: Path, tarrowby: Path) -> None:
    run("parcel", "take", str(tarrowby), str(sent(run, quay, tarrowby)), *DAY)

    assert "say in whose role you review: --by ROLE" in run("parcel", "review", str(tarrowby)).stderr
    wrong = tarrowby.parent / "wrong.yml"
    wrong.write_text(
        "- {decision: maybe, by: foreman}\n- {decision: accept, by: x, reason: y, colour: red}\n"
    )
    refused = run("parcel", "review", str(tarrowby), "--decisions", str(wrong))
    assert refused.exit_code == 2
    assert f"{wrong}:1: decision: Input should be 'accept', 'refuse' or 'add its masses'" in refused.stdout
    assert f"{wrong}:1: reason: Field required" in refused.stdout
    assert f"{wrong}:2: colour: Extra inputs are not permitted" in refused.stdout
    assert refused.stderr == "nothing was recorded\n"


def test_two_versions_are_chosen_one_at_a_time(run: Run, quay: Path, tarrowby: Path) -> None:
    """The masses of the other version come in beside ours when a person says so."""
    head = "- {source: scale, name: Scale, kind: weighed}\n- component: case\n  name: %s\n  kind: part\n  masses:\n"
    one = "    - {printed: 10 kg, source: scale}\n"
    two = "    - {printed: 10.2 kg, source: scale}\n"
    shutil.rmtree(quay)
    quay.mkdir()
    (quay / "a.yml").write_text(head % "Case" + one)
    (tarrowby / "a.yml").write_text(head % "Casing" + two)
    run("parcel", "take", str(tarrowby), str(sent(run, quay, tarrowby, "case")), *DAY)
    checked = run("check", str(tarrowby))
    assert (
        "component case has two versions: the one here is in force, and one from quay-shed-nine"
        in checked.stdout
    )

    asked = run("parcel", "review", str(tarrowby), "--by", "foreman", *DAY, stdin="m\nBoth were weighed.\n")

    assert "In force here:" in asked.stdout
    case = read_collection([tarrowby]).collection.components["case"]
    assert case.name == "Casing"
    assert [statement.printed.text for statement in case.masses] == ["10.2 kg", "10 kg"]
    assert run("parcel", "review", str(tarrowby), "--list").stderr == "open: 0\n"


def test_join_two_ids(run: Run, quay: Path) -> None:
    (quay / "mine.yml").write_text(
        "component: disc-of-ours\nname: Our disc\nkind: part\nmasses:\n- {printed: 0.4 kg, source: quay-counter-scale}\n"
    )

    joined = run(
        "parcel", "join", str(quay), "friction-disc", "disc-of-ours", "--by", "foreman", "--reason", "Same number.",
    )  # fmt: skip

    assert joined.stdout.endswith(".yml: disc-of-ours is friction-disc\n")
    collection = read_collection([quay]).collection
    assert "disc-of-ours" not in collection.components
    assert {"disc-of-ours", "Our disc"} <= set(collection.components["friction-disc"].also_called)
    wrong = run("parcel", "join", str(quay), "friction-disc", "x", "--by", "a", "--reason", "b")
    assert "there is no component 'x'" in wrong.stderr


def test_a_pairing_of_the_two_sides_of_a_joint_is_told_and_no_fault_of_the_program(
    run: Run, quay: Path
) -> None:
    both = ("gear-section", "differential-section")
    refused = run("parcel", "join", str(quay), *both, "--by", "foreman", "--reason", "Same number.", *DAY)
    assert refused.exit_code == 2
    assert f"{quay}/joints.yml:3: with 'gear-section' for 'differential-section'" in refused.stderr
    assert not (quay / "reviews").exists()

    (quay / "p.yml").write_text(
        "pairing: p\nkeep: gear-section\nsame: differential-section\nby: foreman\non: 2026-11-25\nreason: x\n"
    )
    for command in (("check", str(quay)), ("weight", "gear-section", "--from", str(quay))):
        told = run(*command)
        assert told.exit_code == 2
        assert f"{quay}/p.yml:3: same: with 'gear-section' for " in told.stdout + told.stderr


def test_a_hostile_parcel_is_refused_with_status_2(run: Run, tarrowby: Path) -> None:
    bad = tarrowby.parent / "bad.zip"
    bad.write_bytes(b"PK\x03\x04nothing")

    for what in ("look", "take"):
        refused = run("parcel", what, str(tarrowby), str(bad))
        assert refused.exit_code == 2
        assert refused.stdout.startswith(f"{bad}:1: it is damaged (")
        assert refused.stderr == f"{bad}: refused; nothing was changed\n"
    assert list(tarrowby.iterdir()) == []


def test_make_wants_one_thing_to_send(run: Run, quay: Path, tmp_path: Path) -> None:
    args = ("parcel", "make", str(quay), "-o", str(tmp_path / "x.zip"), "--shop", "a", "--by", "b")

    assert "say what to send: one of --component, --since" in run(*args).stderr
    assert "say what to send" in run(*args, "--all", "--component", "x").stderr
    assert "--since 'May' is not a date; write year-month-day" in run(*args, "--since", "May").stderr


def test_add_weighing_by_options(run: Run, quay: Path) -> None:
    done = run(
        "add-weighing", str(quay), "--of", "auxiliary-drive", "--gross", "21.8 kg", "--tare", "none",
        "--plus-or-minus", "0.1 kg", "--source", "tarrowby-platform-scale", "--by", "foreman", *DAY,
    )  # fmt: skip

    assert done.exit_code == 0, done.stderr
    (weighing,) = read_collection([quay]).collection.weighings_of("auxiliary-drive")
    assert (weighing.gross.text, weighing.checked_by, weighing.on.isoformat()) == (
        "21.8 kg",
        "foreman",
        "2026-11-25",
    )
    assert weighing.counts is None


def test_add_weighing_by_asking_tells_what_contradicts(run: Run, quay: Path) -> None:
    answers = "rear-cover\n45.0 kg\nnone\n0.5 kg\n\nas listed\nnone\n\nquay-floor-scale\nfitter\n"

    done = run("add-weighing", str(quay), "--ask", *DAY, stdin=answers)

    assert done.exit_code == 0, done.stderr
    assert "Rear cover: 30.0 kg (Floor scale, Quay Shed Nine) and 45.0 kg" in done.stdout


def test_add_weighing_refuses_what_is_wrong_and_writes_nothing(run: Run, quay: Path) -> None:
    before = sorted(quay.rglob("*"))
    good = {
        "--of": "rear-cover",
        "--gross": "30 kg",
        "--tare": "none",
        "--source": "quay-floor-scale",
        "--by": "a",
    }
    cases = {
        ("--gross", "30"): "gross: '30' has no unit",
        ("--of", "rear-cove"): "of: there is no component 'rear-cove' here",
        ("--source", "x"): "source: there is no source 'x' here",
        ("--tare", "31 kg"): "the tare 31 kg is not less than the gross 30 kg",
    }
    for (option, value), sentence in cases.items():
        args = [word for pair in {**good, option: value}.items() for word in pair]
        refused = run("add-weighing", str(quay), *args)
        assert refused.exit_code == 2
        assert sentence in refused.stderr
    assert "missing: --of, --gross, --tare, --source, --by" in run("add-weighing", str(quay)).stderr
    assert [file for file in sorted(quay.rglob("*")) if file.name != ".handling-lock"] == before


def test_add_note_with_facts_and_a_photo(run: Run, quay: Path, tmp_path: Path) -> None:
    photo = tmp_path / "seen.jpg"
    photo.write_bytes(b"\xff\xd8\xffphoto")

    done = run(
        "add-note", str(quay), "--about", "component=gear-section", "--kind", "set-down", "--author", "fitter",
        "--text", "On 150 mm of wood.", "--fact", "base=150 mm of wood", "--model", "PT-34", "--serials", "1150-",
        "--photo", str(photo), *DAY,
    )  # fmt: skip

    assert done.exit_code == 0, done.stderr
    note = read_collection([quay]).collection.notes[Path(done.stdout.strip()).stem]
    assert note.status == "draft"
    assert note.facts.base == "150 mm of wood"
    assert note.fits[0].serials.in_words() == "from 1150"
    assert (quay / note.photo).read_bytes() == photo.read_bytes()


def test_add_note_refuses_what_is_wrong(run: Run, quay: Path) -> None:
    args = ("add-note", str(quay), "--kind", "tie", "--author", "fitter", "--text", "Look.")

    assert "--about 'gear-section': write NAME=VALUE" in run(*args, "--about", "gear-section").stderr
    assert "there is no component 'x' here" in run(*args, "--about", "component=x").stderr
    wrong = run(*args, "--about", "component=gear-section", "--fact", "balance angle=51 deg")
    assert "'balance angle' under 'facts' does not belong to a note of kind 'tie'" in wrong.stderr
    assert (
        "--serials needs --model"
        in run(*args, "--about", "component=gear-section", "--serials", "1-2").stderr
    )


@pytest.mark.slow
def test_gaps_name_the_piece_that_nobody_weighed_first_among_what_to_weigh(run: Run, quay: Path) -> None:
    lines = run("gaps", str(quay), "--act", "weigh", "--as-of", "2026-11-25").stdout.splitlines()

    assert "have no upper figure by their own figures and parts, 0 with all the evidence" in lines[0]
    assert lines[1].split() == ["lifts", "totals", "answers", "what"]
    assert "weigh Auxiliary drive: no figure that can be used is recorded" in lines[2]
    found = json.loads(run("gaps", str(quay), "--json", "--as-of", "2026-11-25").stdout)["gaps"]
    assert {gap["act"] for gap in found} == {"weigh", "look", "review", "sharpen"}
    helped = [max(len(gap["lifts"]), gap["settles"]) for gap in found if gap["act"] != "sharpen"]
    assert helped == sorted(helped, reverse=True)


@pytest.mark.slow
def test_history_in_words_and_figures(run: Run, quay: Path, tmp_path: Path) -> None:
    before = tmp_path / "before"
    shutil.copytree(quay, before)
    assert run("history", str(before), str(quay)).exit_code == 0
    run(
        "add-weighing", str(quay), "--of", "auxiliary-drive", "--gross", "21.8 kg", "--tare", "none",
        "--plus-or-minus", "0.1 kg", "--source", "tarrowby-platform-scale", "--by", "foreman", *DAY,
    )  # fmt: skip

    changed = run("history", str(before), str(quay), "--component", "transfer-box")

    assert changed.exit_code == 1
    assert "changed: component auxiliary-drive (Auxiliary drive)" in changed.stdout
    assert "dry total: 22.3 ± 9.5 kg (49 ± 21 lb) became 21.8 ± 0.1 kg" in changed.stdout
    assert "auxiliary-drive: 21.8 kg, on 2026-11-25, by foreman" in changed.stdout
    assert (
        "there is no component 'x' in either"
        in run("history", str(quay), str(quay), "--component", "x").stderr
    )


def test_history_tells_fields_and_lines(run: Run, tmp_path: Path) -> None:
    text = "- {component: a, name: %s, kind: assembly, parts: [{component: %s, quantity: %s}]}\n"
    leaf = "- {component: %s, name: Leaf, kind: part}\n"
    for name, values in (("one", ("A", "b", "2")), ("two", ("A2", "b", "3"))):
        (tmp_path / name).mkdir()
        (tmp_path / name / "x.yml").write_text(text % values + leaf % "b")

    told = run("history", str(tmp_path / "one"), str(tmp_path / "two"), "--component", "a").stdout

    assert "name: A became A2" in told
    assert "parts, b: quantity: 2 became 3" in told


@pytest.mark.parametrize("kind", kinds())
def test_every_skeleton_reads_and_names_every_field(kind: str) -> None:
    text = skeleton(kind, "x: 1")  # an id that needs quotes

    reading = read_texts([("new.yml", text)])

    assert [str(finding) for finding in reading.findings] == []
    assert list(reading.collection.of_kind(kind)) == ["x: 1"]


def test_new_writes_a_file_and_never_over_one(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "a.yml"

    assert run("new", "component", "case", "-o", str(out)).exit_code == 0
    assert out.read_text().startswith(
        "component: case\nname: NAME\nkind: part\n# May be added: also called, "
    )
    assert "is there already" in run("new", "component", "case", "-o", str(out)).stderr
    assert run("new", "weighing").stdout.startswith("weighing: 0")
    assert "give the component an id in plain words" in run("new", "component").stderr
    assert "there is no kind 'review'; the kinds are: component, " in run("new", "review", "x").stderr
