"""Joints, lift groups, pick points, gear and jobs as records: what they refuse, and that nothing is lost."""

from __future__ import annotations

import pytest

from handling_db.files.folders import record_text
from handling_db.files.reading import read_texts
from handling_db.records.collection import Collection

JOINT = "joint: seam\nname: Seam\nwithin: box\nbetween: [body, lid]\n"
GROUP = "lift group: g\nname: G\nroot: box\n"
PART = "component: lid\nname: Lid\nkind: part\n"
JOB = "job: j\nunit: box\nopened: {on: 2026-01-02, by: fitter}\n"
TEMPORARY = (
    "{id: red, joint: seam, what: M10, count: 4, out by: before the lift, on: 2026-01-03, by: fitter%s}"
)


def said(text: str) -> list[str]:
    return [str(finding) for finding in read_texts([("a.yml", text)]).findings]


def test_edges_tag_lines_and_the_landing_place_survive() -> None:
    text = (
        GROUP
        + "takes: [[a]]\nchecked by: rigger\ntag lines: none\n"
        + "edges: [{what: left leg over the rim, protected: yes, by: corner pad}, {what: right leg}]\n"
        + "set down: {on: bench, rated: none, rated by: foreman}\n"
    )
    group = read_texts([("a.yml", text)]).collection.lift_groups["g"]

    assert group.tag_lines == "none"
    assert [(edge.what, edge.protected) for edge in group.edges] == [
        ("left leg over the rim", "yes"),
        ("right leg", None),
    ]
    assert (group.set_down.rated, group.set_down.rated_by) == ("none", "foreman")
    again = read_texts([("b.yml", record_text(group))]).collection.lift_groups["g"]
    assert again == group


def test_pick_points_and_faces_survive_too(demo: Collection) -> None:
    for code in ("rear-cover", "transfer-box", "differential-section"):
        record = demo.components[code]
        assert record.pick_points is not None or record.set_down_faces is not None
        again = read_texts([("again.yml", record_text(record))]).collection.components[code]
        assert again == record


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (JOINT + "ties: none\n", "'ties: none' needs 'checked by': write whose role looked, or leave it out"),
        (JOINT + "ties: []\n", "write a list, 'none' (with 'checked by'), or leave it out: nobody looked"),
        (JOINT + "ties: some\n", "write a list, 'none' (with 'checked by'), or leave it out: nobody looked"),
        (JOINT + "ties listed: all\n", "'ties listed: all' needs 'checked by'"),
        (JOINT + "ties: [{kind: bolts, what: b, there: maybe}]\n", "'maybe': write yes, none"),
        (JOINT + "ties: [{kind: bolts, what: b, there: none}]\n", "'there: none' needs 'checked by'"),
        (
            JOINT + "ties: [{kind: bolts, what: b, there: none, checked by: fitter, count: 2}]\n",
            "'there: none' has no part and no count",
        ),
        (JOINT + "ties: [{kind: bolts, what: b, part: [bolt]}]\n", "says how many: write 'count'"),
        (JOINT + "ties: [{kind: bolts, what: b, count: 0}]\n", "a quantity of 0 lists nothing"),
        (JOINT + "ties: [{kind: glue, what: b}]\n", "'glue' is not one of the words for this"),
        (JOINT + "ties: [{kind: bolts, what: b, mass: 2 kg}]\n", "mass: is not a field here"),
        (JOINT + "ties: [{kind: bolts, what: b, after: [c]}]\n", "comes after 'c', which is no tie here"),
        (
            JOINT + "ties: [{id: t, kind: bolts, what: b}, {id: t, kind: wires, what: w}]\n",
            "two ties go by 't'; give one another id",
        ),
        (
            JOINT.replace("[body, lid]", "[lid, lid]"),
            "'between' names the two sides; they cannot be the same",
        ),
        (GROUP, "takes: is missing"),
        (GROUP + "takes: [[a]]\nleaves: [[a]]\n", "'a' is mentioned twice (takes and leaves); keep one"),
        (GROUP + "takes: [{of: [a], quantity: 2}]\n", "only a leave gives a quantity"),
        (GROUP + "takes: [[a]]\nother half: g\n", "'other half' is another lift group"),
        (GROUP + "takes: [[a]]\ntrapped: [{litres: 1 L}]\n", "litres need a 'density', or the 'fluid'"),
        (GROUP + "takes: [[a]]\ntrapped: [{litres: 1 L, density: 0.87 kg/L}]\n", "say 'what' fluid it is"),
        (GROUP + "takes: [[a]]\ntrapped: none\n", "'trapped: none' needs 'checked by'"),
        (GROUP + "takes: [[a]]\nedges: none\n", "'edges: none' needs 'checked by'"),
        (GROUP + "takes: [[a]]\ntag lines: none\n", "'tag lines: none' needs 'checked by'"),
        (GROUP + "takes: [[a]]\nedges: [{what: leg, protected: yes}]\n", "'protected: yes' needs 'by'"),
        (GROUP + "takes: [[a]]\nset down: {rated: 1 t}\n", "'rated' needs 'rated by'"),
        (
            PART
            + "pick points: [{id: e, name: e, at: [0 mm, 0 mm, 0 mm], rated: [{up to: 45 deg, rated: 1 t}]}]\n",
            "a rating needs 'rated by'",
        ),
        (
            PART + "pick points: [{id: e, name: e, at: [0 mm, 0 mm, 0 mm], direction: up}]\n",
            "'up' is not a direction; write one of x, y, z, -x, -y, -z, or three numbers",
        ),
        (
            PART + "pick points: [{id: e, name: e, at: [0 mm, 0 mm, 0 mm], direction: [0, 0, 0]}]\n",
            "three numbers that are not all 0",
        ),
        (
            PART
            + "pick points: [{id: e, name: e, at: [0 mm, 0 mm, 0 mm]}, {id: e, name: f, at: [0 mm, 0 mm, 1 mm]}]\n",
            "two pick points go by 'e'; give one another id",
        ),
        (
            PART + "set down faces: [{id: f, name: f, corners: [[0 mm, 0 mm, 0 mm]]}]\n",
            "three corners or more",
        ),
        (
            PART + "set down faces: [{id: f, name: f, circle: {at: [0 mm, 0 mm, 0 mm], radius: 1 m}}]\n",
            "'square to' is missing",
        ),
        ("gear: g\nname: G\nkind: hook\ntag: none\n", "'tag: none' needs 'checked by'"),
        ("gear: g\nname: G\nkind: hook\nplus or minus: 1 kg\n", "'plus or minus' goes with 'own mass'"),
        ("gear: g\nname: G\nkind: rope\n", "'rope' is not one of the words for this"),
        (JOB + "ties out: [{joint: seam, tie: t, on: 2026-01-03}]\n", "ties out[0].by: is missing"),
        (
            JOB + f"temporary ties: [{TEMPORARY % ''}]\nclosed: {{on: 2026-02-01, by: foreman}}\n",
            "closed while temporary ties are still in: red; write who took them out",
        ),
        (
            JOB + f"temporary ties: [{TEMPORARY % ''}, {TEMPORARY % ''}]\n",
            "two temporary ties go by 'red'; give one another id",
        ),
    ],
)
def test_what_is_refused(text: str, words: str) -> None:
    assert any(words in finding for finding in said(text)), said(text)


def test_nobody_looked_may_be_written_out() -> None:
    reading = read_texts([("a.yml", JOINT + "ties: nobody looked\n")])

    assert reading.findings == ()
    assert reading.collection.joints["seam"].ties is None


def test_three_answers_stay_apart() -> None:
    texts = ("", "ties: none\nchecked by: fitter\n", "ties: [{kind: bolts, what: b, there: yes}]\n")
    found = [read_texts([("a.yml", JOINT + text)]).collection.joints["seam"].ties for text in texts]

    assert found[0] is None
    assert found[1] == "none"
    assert isinstance(found[2], tuple)


def test_a_job_closes_once_its_temporary_ties_are_out() -> None:
    out = ", out: {on: 2026-01-09, by: rigger}"
    text = JOB + f"temporary ties: [{TEMPORARY % out}]\nclosed: {{on: 2026-02-01, by: foreman}}\n"

    assert said(text) == []


def test_a_tie_without_an_id_goes_by_its_text() -> None:
    text = JOINT + "ties: [{kind: bolts, what: b}]\n"
    keys = {read_texts([("a.yml", text)]).collection.joints["seam"].tie_list[0].key("seam") for _ in range(2)}

    assert len(keys) == 1
    assert len(keys.pop()) == 12


def test_a_fault_deep_in_a_list_has_its_line() -> None:
    text = JOINT + "ties:\n  - {kind: bolts, what: b}\n  - kind: bolts\n    what: c\n    travel: far\n"

    assert said(text)[0].startswith("a.yml:9: ties[1].travel: ")


@pytest.mark.parametrize("share", ["0 %", "120 %", "10", "ten %"])
def test_a_share_of_the_shop_is_a_percentage(share: str) -> None:
    assert (
        "is not a percentage; write it above 0 and up to 100, such as 10 %"
        in said(f"shop: s\nname: S\nbreak loose: {share!r}\n")[0]
    )
