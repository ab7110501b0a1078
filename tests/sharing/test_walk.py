"""The end of the walk through the demo: two folders stand for the two shops, and a weighing closes the gap."""

from __future__ import annotations

import datetime
import itertools
import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.checker import check, closing_words, whole_words
from handling_db.files.folders import read_collection
from handling_db.findings import Verdict
from handling_db.lookup.weight import answer
from handling_db.records.ids import time_ordered_id
from handling_db.records.versions import Wait, came_from, questions
from handling_db.sharing.compare import VersionStanding
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.review import apply_decisions, open_questions, read_decisions, record
from handling_db.sharing.take_in import own_collection, take
from handling_db.weights.compare import Judge

pytestmark = pytest.mark.slow

DEMO = Path(__file__).parents[2] / "data" / "demo"
DAY = datetime.date(2026, 11, 25)

WEIGHING = """\
- weighing: 019abc00-0000-7000-8000-00000000a160
  of: auxiliary-drive
  gross: 21.8 kg
  tare: none
  checked by: foreman
  plus or minus: 0.1 kg
  packed: no
  serial: 1187
  counts: as listed
  without: none
  source: tarrowby-platform-scale
  on: 2026-11-25
  by: foreman
"""


def ids():
    """Ids as a clock would make them, the same in every run."""
    counter = itertools.count(1)
    return lambda: time_ordered_id(1_795_600_000_000 + next(counter), bytes(10))


def send(folder, target, *, sender, component=None):
    own = own_collection(folder, reference=False)
    keys, about = chosen_keys(own, component=component)
    target.write_bytes(make_parcel(own, keys, about=about, sender=sender, by="foreman", on=DAY))
    reading = open_parcel(target)
    assert [str(finding) for finding in reading.findings] == []
    return reading.parcel


def settle(folder, text):
    decisions, findings = read_decisions(text, "decisions.yml")
    assert findings == ()
    made, said = apply_decisions(own_collection(folder), decisions, today=DAY, new_id=ids())
    assert said == ()
    return record(folder, made)


@pytest.fixture
def shops(tmp_path):
    """The sending shop with the demo collection, and the receiving shop with nothing yet."""
    quay, tarrowby = tmp_path / "quay", tmp_path / "tarrowby"
    shutil.copytree(DEMO, quay)
    tarrowby.mkdir()
    return quay, tarrowby


def test_the_walk_to_its_end(shops, tmp_path):
    quay, tarrowby = shops
    before = read_collection([quay]).collection
    first = answer(before, "transfer-box", state="dry").headline
    # The piece nobody weighed is bounded by the weighed whole, and by nothing else.
    assert (first.basis, first.rests.whole, first.rests.alone) == (
        "all figures together",
        "Transfer box",
        True,
    )
    assert [named.id for named in first.unknown] == ["auxiliary-drive"]
    assert "auxiliary-drive" in {f.about for f in check(before) if f.rule == "mass-missing"}
    assert whole_words(Judge(before), "transfer-box").startswith("cannot be checked")

    # Out: everything the other shop needs for the whole unit.
    parcel = send(quay, tmp_path / "out.zip", sender="quay-shed-nine", component="transfer-box")
    look = take(tarrowby, parcel, DAY)
    assert look.count(VersionStanding.NEW) == len(look.incoming) > 100
    assert look.waiting == 0
    # Gear that comes along is also for pieces of another unit, which stay at home.
    assert {one.id for one in look.missing} == {"ferry-wheel", "ferry-wheel-group"}
    there = read_collection([tarrowby]).collection
    # Figures that nobody there has reviewed are no evidence: they set the plan, and no lower limit.
    unseen = answer(there, "transfer-box", state="dry").headline
    assert (unseen.planning, unseen.low) == (first.planning, 0)
    waiting = open_questions(tarrowby)
    assert {question.wait for question in waiting} == {Wait.UNREVIEWED}
    assert len(waiting) == len(look.incoming)
    standing = came_from(there)["component", "differential-section"]
    assert standing == "from quay-shed-nine (not signed), not yet reviewed"

    # The receiving shop looks everything through, and weighs the one piece nobody had weighed.
    settle(
        tarrowby,
        "- {decision: accept, from shop: quay-shed-nine, by: foreman, reason: Compared with the crate tag.}\n",
    )
    assert open_questions(tarrowby) == ()
    there = read_collection([tarrowby]).collection
    assert answer(there, "transfer-box", state="dry") == answer(before, "transfer-box", state="dry")
    told = came_from(there)["component", "differential-section"]
    assert told == "from quay-shed-nine (not signed), accepted by foreman on 2026-11-25"
    (tarrowby / "weighings.yml").write_text(WEIGHING, encoding="utf-8")

    # Back: only what the first shop does not have is new, and it waits.
    parcel = send(tarrowby, tmp_path / "back.zip", sender="low-tarrowby", component="auxiliary-drive")
    look = take(quay, parcel, DAY)
    new = [one for one in look.incoming if one.standing is not VersionStanding.SAME]
    assert [(one.kind, one.standing, one.waits) for one in new] == [("weighing", VersionStanding.NEW, True)]
    assert new[0].why == "It would count as a mass of Auxiliary drive."
    unmoved = read_collection([quay]).collection
    assert answer(unmoved, "transfer-box", state="dry") == answer(before, "transfer-box", state="dry")
    (question,) = questions(own_collection(quay))
    assert (question.kind, question.wait, question.shop) == ("weighing", Wait.WAITS, "low-tarrowby")

    settle(
        quay,
        "- decision: accept\n"
        "  kind: weighing\n"
        "  id: 019abc00-0000-7000-8000-00000000a160\n"
        "  by: data keeper\n"
        "  reason: Scale checked in May; photo of the reading seen.\n",
    )
    after = read_collection([quay]).collection
    assert open_questions(quay) == ()
    whole = answer(after, "transfer-box", state="dry").headline
    assert whole.complete
    assert whole.low <= Fraction("841.35") <= whole.high, "the sum of the parts, all of them weighed"
    assert whole.unknown == ()

    # The scale check becomes a real check.
    words = whole_words(Judge(after), "transfer-box")
    assert words.startswith("agrees with Floor scale, Quay Shed Nine (844.0 kg); an error of up to 11 kg (")
    assert "compared: 48 lines, drained, serial 1187;" in words
    # With every part weighed the handbook's whole is too light, whatever it counts.
    assert "disagrees with PT-34 handbook (810 kg / 1790 lb)" in words
    assert "what the figure counts is not stated" in words
    findings = check(after)
    assert not [f for f in findings if f.rule == "mass-missing" and f.about == "auxiliary-drive"]
    assert "Auxiliary drive" in closing_words(before, check(before))
    assert "Auxiliary drive" not in closing_words(after, findings)
    agrees = [f for f in findings if f.about == "transfer-box" and f.verdict is Verdict.AGREES]
    assert [f.rule for f in agrees] == ["parts-sum"]


def test_taking_the_same_parcel_again_changes_nothing(shops, tmp_path):
    quay, tarrowby = shops
    parcel = send(quay, tmp_path / "out.zip", sender="quay-shed-nine", component="lock-clutch-pack")
    take(tarrowby, parcel, DAY)
    files = {file: file.read_bytes() for file in tarrowby.rglob("*") if file.is_file()}

    again = take(tarrowby, parcel, DAY)

    assert again.taken
    assert {one.standing for one in again.incoming} == {VersionStanding.SAME}
    assert {file: file.read_bytes() for file in tarrowby.rglob("*") if file.is_file()} == files


def test_the_same_records_give_the_same_bytes(shops, tmp_path):
    quay, tarrowby = shops
    parcel = send(quay, tmp_path / "one.zip", sender="quay-shed-nine")
    take(tarrowby, parcel, DAY)
    # Through the other shop's folder the records stand in other files, in another order.
    send(tarrowby, tmp_path / "two.zip", sender="quay-shed-nine")

    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()
