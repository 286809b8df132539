"""A page that is killed while it changes the home file leaves a whole one."""

from __future__ import annotations

import random

import pytest
from starlette.testclient import TestClient

from climrisk.home import demo_home_text, read_home
from climrisk.web.app import make_app
from climrisk.web.settings import Settings
from tests.reliability.kills import fork_server, kill_at_work, moments

pytestmark = pytest.mark.long

CHANGES = [
    {"do": "add-spot", "name": "ledge", "kind": "open-rail"},
    {"do": "add-plant", "name": "Masdevallia", "label": "mine", "spot": "ledge"},
    {"do": "move-plant", "called": "mine", "spot": "balcony"},
    {"do": "remove-plant", "called": "mine"},
    {"do": "remove-spot", "called": "ledge"},
    {"do": "undo"},
]


def page(folder):
    settings = Settings(home=folder / "home.toml", logs=folder, workers=0)
    client = TestClient(make_app(settings), base_url="http://127.0.0.1")
    client.follow_redirects = False
    return client


def change(pipe, folder, seed):
    """Change the home again and again."""
    chance = random.Random(seed)
    with page(folder) as one:
        done, last = 0, ""
        while True:
            pipe.send(done)
            form = {**chance.choice(CHANGES), "change": last}
            answer = one.post("/home", data=form)
            done += answer.status_code == 303
            last = answer.headers.get("location", "").partition("changed=")[2] or last


def test_a_killed_page_leaves_a_home_that_can_be_read_and_changed(tmp_path, counted):
    home = tmp_path / "home.toml"
    home.write_text(demo_home_text(), "utf-8")
    processes = fork_server(__name__, "climrisk.web.routes")
    kills, changes, left = 200, 0, 0
    for seed, after_s in enumerate(moments(kills, 0.1, 0.7)):
        changes += kill_at_work(
            processes, change, tmp_path, seed, after_s=after_s, steps=seed % 2
        )
        read_home(home)
        undo = home.with_name("home.toml.undo")
        if undo.exists():
            read_home(undo)
        # A killed write leaves its unfinished file until the next one.
        unfinished = list(tmp_path.glob(".climrisk-*"))
        left += len(unfinished)
        assert len(unfinished) <= 1
    with page(tmp_path) as one:
        assert not list(tmp_path.glob(".climrisk-*"))
        form = {"do": "add-spot", "name": "after all", "kind": "open-rail"}
        assert one.post("/home", data=form).status_code == 303
    assert read_home(home).knows_spot("after all")
    counted(f"{kills} kills, {changes} changes, {left} unfinished files swept")
    assert changes > 0
