"""The page for Python: its blocks run one after another, and its table names every public name."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import handling_db as hd

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "python.md").read_text(encoding="utf-8")


def test_the_blocks_run_as_they_stand(tmp_path: Path) -> None:
    code = "\n".join(re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL))
    (tmp_path / "data").symlink_to(ROOT / "data")
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "MPLCONFIGDIR": str(tmp_path)},
    )
    assert done.returncode == 0, done.stderr
    assert "lb" in done.stdout.splitlines()[0]
    assert (tmp_path / "turn.svg").read_text(encoding="utf-8").count("<path") > 3


def test_the_table_names_every_public_name_and_no_other() -> None:
    table = PAGE[PAGE.index("## Names") :].split("`help(")[0]
    assert sorted(re.findall(r"`(\w+)`", table)) == sorted(hd.__all__)
