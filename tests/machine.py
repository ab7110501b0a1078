"""What the browser tests need of a machine: a Chromium-family browser and PDF tools; found or installed."""

from __future__ import annotations

import os
import shutil
import subprocess

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PACKAGES = ("chromium", "poppler-utils", "fonts-dejavu-core")  # Debian's
PDF_TOOLS = ("pdftotext", "pdfinfo", "pdftoppm")


def browser() -> str | None:
    """The path of an installed browser of the Chromium family."""
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def missing() -> list[str]:
    """What is not there."""
    lacking = [] if browser() else ["a browser of the Chromium family"]
    return lacking + [tool for tool in PDF_TOOLS if shutil.which(tool) is None]


def set_up() -> int:
    """Install what is missing with Debian's packages, and say so; the exit status of what could not be done."""
    lacking = missing()
    if not lacking:
        print(f"browser tests use {browser()} and {shutil.which('pdftotext')}", flush=True)
        return 0
    print(f"the browser tests lack: {', '.join(lacking)}", flush=True)
    if shutil.which("apt-get") is None:
        print(f"install them by hand; on Debian the packages are: {' '.join(PACKAGES)}", flush=True)
        return 1
    as_root = [] if os.geteuid() == 0 else ["sudo"]
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["update", "-qq"], ["install", "-y", "-qq", *PACKAGES]):
        command = [*as_root, "apt-get", *words]
        print(" ".join(command), flush=True)
        if subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=False).returncode:
            print("that did not work; install the packages by hand and run this again", flush=True)
            return 1
    return 1 if missing() else 0
