"""A real server over the demo database, and Debian's Chromium looking at it."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests import machine
from tests.browser import looks

# Switched off: a new frame host for every navigation, which is a third of the work of following a link; and what
# playwright switches off itself and this takes the place of: questions to the net, upgrades to https, delayed paint.
FEATURES_OFF = [
    "RenderDocument",
    "AimEnabled",
    "DestroyProfileOnBrowserClose",
    "HttpsFirstBalancedModeAutoEnable",
    "HttpsUpgrades",
    "MediaRouter",
    "NetworkTimeServiceQuerying",
    "OptimizationHints",
    "PaintHolding",
    "PreconnectToSearch",
]
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--disable-features={','.join(FEATURES_OFF)}",
]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="session")
def address(demo_db: Path) -> Iterator[str]:
    """The address of `handling-db serve` over the demo."""
    port = free_port()
    command = [sys.executable, "-c", "from handling_db.cli import main; main()"]
    server = subprocess.Popen(
        [*command, "serve", "--db", str(demo_db), "--port", str(port)],
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    base = f"http://127.0.0.1:{port}"
    try:
        for _ in range(150):
            if server.poll() is not None:
                raise RuntimeError(server.stderr.read().decode() if server.stderr else "the server stopped")
            try:
                urllib.request.urlopen(base, timeout=2).close()
                break
            except OSError:
                time.sleep(0.1)
        else:
            raise RuntimeError("the server did not answer within 15 seconds")
        yield base
    finally:
        server.terminate()
        server.wait(timeout=30)  # what a browser holds open is waited for up to ten seconds


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A browser of the Chromium family; its absence is a failure, not a skip."""
    found = machine.browser()
    if found is None:
        pytest.fail("the browser tests need a browser: python -m tests installs Debian's chromium")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=found, args=ARGUMENTS)
        yield running
        running.close()


@pytest.fixture(scope="session")
def tab(browser: Browser) -> Iterator[Page]:
    """The one page that tests look through, one after another: a new one for each costs more than the looking."""
    context = browser.new_context(viewport=looks.PHONE)
    opened = context.new_page()
    yield opened
    context.close()


@pytest.fixture(params=[looks.PHONE, looks.DESK], ids=["phone", "desktop"])
def page(request: pytest.FixtureRequest, tab: Page) -> Page:
    """The page as wide as a phone and as a desk."""
    tab.set_viewport_size(request.param)
    return tab


@pytest.fixture
def phone(tab: Page) -> Page:
    """The page as wide as a phone."""
    tab.set_viewport_size(looks.PHONE)
    return tab


@pytest.fixture
def window(tab: Page) -> Page:
    """The page as wide as what is printed from."""
    tab.set_viewport_size(looks.WINDOW)
    return tab


@pytest.fixture
def paper(window: Page) -> Iterator[Page]:
    """The page as it looks in print."""
    window.emulate_media(media="print")
    yield window
    window.emulate_media(media="null")


@pytest.fixture(scope="session")
def scriptless(browser: Browser) -> Iterator[Page]:
    """A page that runs no script."""
    context = browser.new_context(java_script_enabled=False, viewport=looks.PHONE)
    opened = context.new_page()
    yield opened
    context.close()
