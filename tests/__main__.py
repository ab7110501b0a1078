"""All tests, after setting up what they need: ``python -m tests``; what follows goes to pytest."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from tests.machine import set_up


def main(arguments: list[str]) -> int:
    """Set up, then run pytest on two processes or as many as there are processors."""
    if status := set_up():
        return status
    several = ["-n", str(max(2, os.cpu_count() or 2)), "--dist", "loadfile", "--no-loadscope-reorder"]
    if any(word in ("-n", "-s", "--pdb") for word in arguments):
        several = []
    return int(pytest.main(["-q", *several, *arguments]))


if __name__ == "__main__":
    os.chdir(Path(__file__).parent.parent)
    raise SystemExit(main(sys.argv[1:]))
