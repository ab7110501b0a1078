"""Flat under load: ``python -m tests.soak [--minutes 60] [--records FOLDER] [--write]``.

Mixed questions of sixteen clients, one in twenty of them odd, while the records are built anew every two minutes.
Status 1 where something that is demanded was not so. `--write` puts the result into docs/performance.md.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from handling_db.files.folders import data_folder
from tests.soak.report import report, write
from tests.soak.run import Run, Setting, judged


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    usual = Setting()
    parser.add_argument("--minutes", type=float, default=usual.minutes)
    parser.add_argument("--every", type=float, default=usual.every, help="seconds between two builds")
    parser.add_argument("--clients", type=int, default=usual.clients)
    parser.add_argument("--pause", type=float, default=usual.pause, help="seconds a client waits at most")
    parser.add_argument("--seed", type=int, default=usual.seed)
    parser.add_argument(
        "--records", type=Path, default=data_folder() / "demo", help="a folder; the demo otherwise"
    )
    parser.add_argument("--write", action="store_true", help="put the result into docs/performance.md")
    asked = parser.parse_args()
    setting = Setting(asked.minutes, asked.every, asked.clients, asked.pause, asked.seed)
    with tempfile.TemporaryDirectory() as room:
        seen = Run(asked.records, Path(room), setting).go()
    what = "the demo" if asked.records == data_folder() / "demo" else asked.records.name
    text = report(seen, setting, what)
    print(text)
    for told in (*seen.wrong[:20], *seen.stale[:20]):
        print(told)
    if asked.write:
        write(text)
    return int(not all(one.met for one in judged(seen)))


if __name__ == "__main__":
    sys.exit(main())
