"""Set-up that all tests share."""

from __future__ import annotations

import os
import shutil

import pytest
from hypothesis import settings

# The same examples each run, and no clock decides a test.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def chromium():
    """Return a running Chromium, or skip with the reason."""
    path = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if path is None:
        pytest.skip("no Chromium here: apt-get install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=QUIET)
        yield browser
        browser.close()
