"""A piece whose mass changes with every build, inside of a unit: what the page must show from then on."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from tests.soak.served import COMMAND

UNIT = "long-run-unit"
_RECORDS = """\
- {{source: long-run-scale, name: Scale of the long run, kind: weighed, instrument: {{name: scale, step: 1 kg}}}}
- component: long-run-unit
  name: Unit of the long run
  kind: assembly
  parts listed: all
  parts: [{{component: long-run-piece, quantity: 2}}]
- component: long-run-piece
  name: Piece of the long run
  kind: part
  masses: [{{printed: {mass} kg, plus or minus: 1 kg, source: long-run-scale}}]
"""


class Marked:
    """A copy of some records with the marker in it.

    Parameters
    ----------
    records : Path
        Copied, never written to.
    room : Path
    """

    def __init__(self, records: Path, room: Path) -> None:
        self.folder, self.file = room / "records", room / "handling.db"
        shutil.copytree(records, self.folder)

    def build(self, number: int) -> None:
        """Build the file anew, in a process of its own, with a marker that says the number."""
        text = _RECORDS.format(mass=1000 + number)
        (self.folder / "long-run.yml").write_text(text, encoding="utf-8")
        done = subprocess.run(
            [*COMMAND, "build", str(self.folder), "-o", str(self.file)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr


def number_in(answer: object) -> int:
    """Which build an answer about the unit is of."""
    assert isinstance(answer, dict)
    best = answer["states"][-1]["best_kg"]
    number = best / 2 - 1000
    assert number == int(number), answer
    return int(number)
