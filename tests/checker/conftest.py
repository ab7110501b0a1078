"""Collections read from YAML text, with a few sources that every case may use."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handling_db.files.folders import reference_folder
from handling_db.files.reading import read_texts
from handling_db.records.collection import Collection

SOURCES = """\
- {source: scale, name: Shop scale, kind: weighed, instrument: {name: platform scale, step: 1 kg}}
- {source: book, name: Shop handbook, kind: maker's manual}
- {source: plate, name: Type plate, kind: nameplate}
- {source: guess, name: Somebody's eye, kind: by eye}
- {source: worked out, name: Worked out, kind: inferred}
"""


@pytest.fixture
def read() -> Callable[[str], Collection]:
    """Read records from a text; every text of a test has to be readable."""

    def reader(text: str) -> Collection:
        kinds = (reference_folder() / "source-kinds.yml").read_text()
        reading = read_texts([("records.yml", text), ("sources.yml", SOURCES), ("kinds.yml", kinds)])
        assert [str(finding) for finding in reading.findings] == []
        return reading.collection

    return reader
