"""The help topics on the page: the same text as in the terminal, without commands."""

from __future__ import annotations

import html
import re

import pytest

from climrisk.commands.help.topics import NAMES, topic


def plain(text):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


@pytest.mark.parametrize("name", NAMES)
def test_a_topic_is_the_text_of_the_terminal_without_its_commands(client, name):
    answer = client.get(f"/about/{name}")
    assert answer.status_code == 200
    shown = plain(answer.text.split("<main")[1].split("</main>")[0])
    for block in topic(name).blocks:
        cells = [cell for row in block.rows for cell in row]
        for text in (*block.lines, *cells):
            assert (" ".join(text.split()) in shown) == (block.kind != "commands")
    assert not re.search(r"(?<![\w-])--[a-z]", shown)


def test_help_lists_every_topic_and_is_linked_from_each_screen(client):
    page = client.get("/about").text
    for name in NAMES:
        assert f'href="/about/{name}' in page
        assert topic(name).title in html.unescape(page)
    assert 'href="/about' in client.get("/start").text
    assert client.get("/about/orchids").status_code == 404
