"""Waiting for what a browser shows, so that nothing is read of half a page."""

from __future__ import annotations

READY = """() => document.readyState === 'complete'
    && document.querySelector('h1, .way') && !document.querySelector('.working')"""


def seen(page, selector, timeout=60_000):
    """Wait until something is there and its page, with its style, is complete."""
    found = page.wait_for_selector(selector, timeout=timeout)
    page.wait_for_load_state("load", timeout=timeout)
    return found


def seen_alone(page, selector, one, timeout=60_000):
    """Wait until of all that a selector finds one is left, and it is this one."""
    page.wait_for_function(
        """([all, one]) => {
            const found = document.querySelectorAll(all);
            return found.length === 1 && found[0].matches(one);
        }""",
        arg=[selector, one],
        timeout=timeout,
    )


def settled(page, timeout=60_000):
    """Wait until the page is complete and nothing is being worked on."""
    page.wait_for_function(READY, timeout=timeout)


def changed(page, press, timeout=60_000):
    """Press something that leads to another page, and wait for that page."""
    with page.expect_navigation(wait_until="load", timeout=timeout):
        press()
