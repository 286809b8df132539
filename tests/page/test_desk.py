"""The desk: work that can be stopped, bounded in time and memory, done once."""

from __future__ import annotations

import asyncio
import gc
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from climrisk.core.errors import ClimriskError, InputError, WeatherUnavailable
from climrisk.web.desk import Busy, Desk, Stopped, Ticket
from climrisk.web.room import Room
from climrisk.web.settings import Settings
from tests.page.slow_tasks import Made

ROOM = "tests.page.slow_tasks"


@pytest.fixture(scope="module")
def desk():
    made = Desk(ROOM, workers=1, memory_mb=1500)
    made.start()
    yield made
    made.close()


def answer(desk, *task):
    return desk.ask(Made(*task)).answer.result(timeout=60)


def test_an_answer_comes_back(desk):
    assert answer(desk, "echo", "hello") == "hello"


def test_the_same_question_is_worked_on_once(desk, tmp_path):
    file = str(tmp_path / "count")
    tickets = [desk.ask(Made("count", file)) for _ in range(20)]
    assert {t.answer.result(timeout=60) for t in tickets} == {"counted"}
    assert (tmp_path / "count").read_text() == "x"


def test_work_says_what_it_does_and_is_stopped_at_once(desk):
    ticket = desk.ask(Made("sleep"))
    while ticket.words != "half way":
        time.sleep(0.02)
        assert not ticket.answer.done()
    assert desk.stop(ticket.task.key)
    with pytest.raises(Stopped, match="nothing was changed"):
        ticket.answer.result(timeout=20)
    # The work itself would have taken a minute; the desk goes on at once.
    assert answer(desk, "echo", "after") == "after"
    assert not desk.stop("never asked")


@pytest.mark.skipif(sys.platform != "linux", reason="memory is bounded on Linux only")
def test_too_much_memory_ends_the_work_and_nothing_else(desk):
    with pytest.raises(ClimriskError, match="memory"):
        answer(desk, "greedy")
    assert answer(desk, "echo", "still here") == "still here"


def test_a_process_that_dies_is_one_line_and_begun_anew(desk):
    with pytest.raises(Stopped, match="ended early"):
        answer(desk, "die")
    assert answer(desk, "echo", "anew") == "anew"


def test_errors_keep_their_kind_and_line(desk):
    with pytest.raises(InputError, match=r"no \(x\)"):
        answer(desk, "refuse")
    with pytest.raises(WeatherUnavailable, match="gone"):
        answer(desk, "outage")
    with pytest.raises(ClimriskError) as caught:
        answer(desk, "fault")
    assert caught.value.exit_status == 1
    assert "secret" not in str(caught.value)


def test_an_outage_is_asked_again_and_a_wrong_question_is_not(desk):
    assert desk.ask(Made("outage")) is not desk.ask(Made("outage", "2"))
    first = desk.ask(Made("outage", "3"))
    with pytest.raises(WeatherUnavailable):
        first.answer.result(timeout=20)
    assert desk.ask(Made("outage", "3")) is not first
    wrong = desk.ask(Made("refuse", "3"))
    with pytest.raises(InputError):
        wrong.answer.result(timeout=20)
    assert desk.ask(Made("refuse", "3")) is wrong


def test_time_is_bounded_and_a_crowd_is_told_to_wait():
    made = Desk(ROOM, workers=1, seconds=0.5, waiting=2)
    made.start()
    try:
        late = made.ask(Made("sleep", "late"))
        crowd = (made.ask(Made("sleep", str(i))) for i in range(5))
        with pytest.raises(Busy, match="too many"):
            list(crowd)
        with pytest.raises(Stopped, match="given up"):
            late.answer.result(timeout=60)
    finally:
        made.close()


def test_where_no_process_starts_a_question_fails_and_does_not_hang(monkeypatch):
    def broken(*args, **kwargs):
        raise OSError("made for a test")

    monkeypatch.setattr("climrisk.web.desk.multiprocessing.get_context", broken)
    made = Desk(ROOM, workers=1)
    made.start()
    with pytest.raises(ClimriskError, match="no process can be started"):
        made.ask(Made("echo")).answer.result(timeout=20)
    made.close()


def test_an_error_that_comes_after_the_reader_left_is_in_no_log(caplog):
    async def leave_early():
        ticket = Ticket(Made("late"))
        room = Room(Settings(), Desk(workers=0))
        with pytest.raises(TimeoutError):
            await room.result(ticket, 0.01)
        ticket.answer.set_exception(InputError("secret of the home"))
        await asyncio.sleep(0.01)
        with pytest.raises(InputError):
            await room.result(ticket)

    # In a thread of its own: a browser test may have left a loop running in this one.
    with ThreadPoolExecutor(1) as alone:
        alone.submit(asyncio.run, leave_early()).result()
    gc.collect()
    assert "never retrieved" not in caplog.text
    assert "secret" not in caplog.text
