"""Run the commands of the pages again and write what they print: ``python -m tests.docs.write_outputs``.

Read the difference before you commit it: a page that changes says something else to its reader.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.docs.pages import DOCS, played

PLAYED = ("tutorial.md", "job-plans.md", "fleet.md")

if __name__ == "__main__":
    for name in PLAYED:
        page = DOCS / name
        with tempfile.TemporaryDirectory() as folder:
            page.write_text(played(page.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")
