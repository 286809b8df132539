"""A page that is killed while it changes the home file leaves a whole one."""

from __future__ import annotations

import multiprocessing
import random
import time

from starlette.testclient import TestClient

from climrisk.home import demo_home_text, read_home
from climrisk.web.app import make_app
from climrisk.web.settings import Settings
from tests.reliability.long_runs import repeats

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


def change_until_killed(folder, seed, pipe):
    """Change the home again and again; the body of the process that is killed."""
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
    processes = multiprocessing.get_context("forkserver")
    processes.set_forkserver_preload([__name__, "climrisk.web.routes"])
    chance = random.Random(1)
    kills, changes = repeats(3, 200), 0
    for seed in range(kills):
        ours, theirs = processes.Pipe(duplex=False)
        worker = processes.Process(
            target=change_until_killed, args=(tmp_path, seed, theirs), daemon=True
        )
        worker.start()
        theirs.close()
        ours.recv()
        time.sleep(0.1 + 0.6 * chance.random())
        worker.kill()
        worker.join(30)
        changes += _last(ours)
        read_home(home)
        undo = home.with_name("home.toml.undo")
        if undo.exists():
            read_home(undo)
    with page(tmp_path) as one:
        form = {"do": "add-spot", "name": "after all", "kind": "open-rail"}
        assert one.post("/home", data=form).status_code == 303
    assert read_home(home).knows_spot("after all")
    left = sum(p.name.startswith(".climrisk-") for p in tmp_path.iterdir())
    counted(f"{kills} kills, {changes} changes; {left} temporary files left")
    assert changes > 0


def _last(pipe):
    """Return the last number that a killed process sent."""
    last = 0
    while True:
        try:
            last = pipe.recv()
        except (EOFError, OSError):
            return last
