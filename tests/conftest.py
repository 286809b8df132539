"""Set-up that all tests share."""

from __future__ import annotations

import os
import shutil

import pytest
from hypothesis import settings

# The same examples each run, and no clock decides a test.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")


def pytest_addoption(parser):
    parser.addoption(
        "--long", action="store_true", help="run the long tests too (CLIMRISK_LONG=1)"
    )


def pytest_configure(config):
    # Processes that share the work get it from here.
    if config.getoption("--long"):
        os.environ["CLIMRISK_LONG"] = "1"


def pytest_collection_modifyitems(items):
    if os.environ.get("CLIMRISK_LONG") == "1":
        return
    skip = pytest.mark.skip(reason="long: sh scripts/test --long")
    for item in items:
        if item.get_closest_marker("long"):
            item.add_marker(skip)


def pytest_terminal_summary(terminalreporter):
    rows = [
        (report.nodeid, said)
        for key in ("passed", "failed")
        for report in terminalreporter.stats.get(key, [])
        if report.when == "call"
        for name, said in report.user_properties
        if name == "counts"
    ]
    if rows:
        terminalreporter.section("counts")
        for where, said in sorted(rows):
            terminalreporter.line(f"{where}: {said}")


@pytest.fixture
def counted(record_property):
    """Return a function that has counts printed at the end of the run."""
    return lambda said: record_property("counts", str(said))


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
