"""What goes into a parcel comes out of it, whatever the records are."""

from __future__ import annotations

import datetime

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handling_db.records.collection import collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.source import Source
from handling_db.records.versions import versions
from handling_db.sharing.compare import Came
from handling_db.sharing.make import RECORDS_IN_A_FILE, chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel
from tests.merging import take

DAY = datetime.date(2026, 11, 25)
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12)
IDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=8)
RECORDS = st.one_of(
    st.builds(
        lambda code, name: (
            "component",
            Component.model_validate({"component": code, "name": name, "kind": "part"}),
        ),
        IDS,
        WORDS,
    ),
    st.builds(
        lambda code, name: (
            "source",
            Source.model_validate({"source": code, "name": name, "kind": "weighed"}),
        ),
        IDS,
        WORDS,
    ),
)


@settings(max_examples=24, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(records=st.lists(RECORDS, min_size=1, max_size=6), other=st.lists(RECORDS, max_size=4))
def test_every_version_comes_out_again(records, other, tmp_path):
    own = take(collect(records), collect(other), Came("b", "p", DAY))
    keys, about = chosen_keys(own)
    file = tmp_path / "p.zip"
    data = make_parcel(own, keys, about=about, sender="a", by="foreman", on=DAY)
    file.write_bytes(data)

    reading = open_parcel(file)

    assert [str(finding) for finding in reading.findings] == []
    sent = reading.parcel.collection
    assert {k: set(v) for k, v in versions(sent).items()} == {k: set(v) for k, v in versions(own).items()}
    again, _ = chosen_keys(sent)
    assert make_parcel(sent, again, about=about, sender="a", by="foreman", on=DAY) == data


def test_many_records_go_into_several_files(tmp_path):
    fields = {"name": "Scale", "kind": "weighed"}
    own = collect(
        ("source", Source.model_validate({"source": f"s{number}", **fields}))
        for number in range(RECORDS_IN_A_FILE + 1)
    )
    keys, about = chosen_keys(own)
    file = tmp_path / "p.zip"
    file.write_bytes(make_parcel(own, keys, about=about, sender="a", by="foreman", on=DAY))

    parcel = open_parcel(file).parcel

    assert [name for name, _ in parcel.files] == ["records/source-001.yml", "records/source-002.yml"]
    assert len(parcel.collection.sources) == RECORDS_IN_A_FILE + 1
