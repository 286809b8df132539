"""The jobs: work that can be stopped, bounded in time and memory, done once."""

from __future__ import annotations

import asyncio
import gc
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from climrisk.core.errors import ClimriskError, InputError, WeatherUnavailableError
from climrisk.web.app_state import AppState
from climrisk.web.job_queue import BusyError, JobQueue, QueuedJob, StoppedError
from climrisk.web.settings import Settings
from tests.page.slow_tasks import Made

ROOM = "tests.page.slow_tasks"


@pytest.fixture(scope="module")
def jobs():
    made = JobQueue(ROOM, workers=1, memory_mb=1500)
    made.start()
    yield made
    made.close()


def answer(jobs, *task):
    return jobs.submit(Made(*task)).answer.result(timeout=60)


def test_an_answer_comes_back(jobs):
    assert answer(jobs, "echo", "hello") == "hello"


def test_the_same_question_is_worked_on_once(jobs, tmp_path):
    file = str(tmp_path / "count")
    jobs = [jobs.submit(Made("count", file)) for _ in range(20)]
    assert {t.answer.result(timeout=60) for t in jobs} == {"counted"}
    assert (tmp_path / "count").read_text() == "x"


def test_work_says_what_it_does_and_is_stopped_at_once(jobs):
    job = jobs.submit(Made("sleep"))
    while job.words != "half way":
        time.sleep(0.02)
        assert not job.answer.done()
    assert jobs.stop(job.task.key)
    with pytest.raises(StoppedError, match="nothing was changed"):
        job.answer.result(timeout=20)
    # The work itself would have taken a minute; the jobs goes on at once.
    assert answer(jobs, "echo", "after") == "after"
    assert not jobs.stop("never asked")


@pytest.mark.skipif(sys.platform != "linux", reason="memory is bounded on Linux only")
def test_too_much_memory_ends_the_work_and_nothing_else(jobs):
    with pytest.raises(ClimriskError, match="memory"):
        answer(jobs, "greedy")
    assert answer(jobs, "echo", "still here") == "still here"


def test_a_process_that_dies_is_one_line_and_begun_anew(jobs):
    with pytest.raises(StoppedError, match="ended early"):
        answer(jobs, "die")
    assert answer(jobs, "echo", "anew") == "anew"


def test_errors_keep_their_kind_and_line(jobs):
    with pytest.raises(InputError, match=r"no \(x\)"):
        answer(jobs, "refuse")
    with pytest.raises(WeatherUnavailableError, match="gone"):
        answer(jobs, "outage")
    with pytest.raises(ClimriskError) as caught:
        answer(jobs, "fault")
    assert caught.value.exit_status == 1
    assert "secret" not in str(caught.value)


def test_an_outage_is_asked_again_and_a_wrong_question_is_not(jobs):
    assert jobs.submit(Made("outage")) is not jobs.submit(Made("outage", "2"))
    first = jobs.submit(Made("outage", "3"))
    with pytest.raises(WeatherUnavailableError):
        first.answer.result(timeout=20)
    assert jobs.submit(Made("outage", "3")) is not first
    wrong = jobs.submit(Made("refuse", "3"))
    with pytest.raises(InputError):
        wrong.answer.result(timeout=20)
    assert jobs.submit(Made("refuse", "3")) is wrong


def test_a_subject_goes_to_the_process_that_knows_it_unless_that_is_busy():
    made = JobQueue(ROOM, workers=2)
    made.start()
    try:
        both = [made.submit(Made("nap", name)) for name in ("a", "b")]
        first, second = (job.answer.result(timeout=60) for job in both)
        assert first != second
        assert answer(made, "who", "b") == second
        assert answer(made, "who again", "b") == second
        busy = made.submit(Made("nap again", "b"))
        assert answer(made, "who meanwhile", "b") == first
        assert busy.answer.result(timeout=60) == second
    finally:
        made.close()


def test_time_is_bounded_and_a_crowd_is_told_to_wait():
    made = JobQueue(ROOM, workers=1, seconds=0.5, waiting=2)
    made.start()
    try:
        late = made.submit(Made("sleep", "late"))
        crowd = (made.submit(Made("sleep", str(i))) for i in range(5))
        with pytest.raises(BusyError, match="too many"):
            list(crowd)
        with pytest.raises(StoppedError, match="given up"):
            late.answer.result(timeout=60)
    finally:
        made.close()


@pytest.mark.filterwarnings("error::pytest.PytestUnhandledThreadExceptionWarning")
@pytest.mark.parametrize("what", ["get_context", "context.SpawnProcess.start"])
def test_where_no_process_starts_a_question_fails_and_does_not_hang(monkeypatch, what):
    def broken(*args, **kwargs):
        raise OSError("made for a test")

    monkeypatch.setattr(f"climrisk.web.job_queue.multiprocessing.{what}", broken)
    made = JobQueue(ROOM, workers=1)
    made.start()
    with pytest.raises(ClimriskError, match="no process can be started"):
        made.submit(Made("echo")).answer.result(timeout=20)
    made.close()


def test_an_error_that_comes_after_the_reader_left_is_in_no_log(caplog):
    async def leave_early():
        job = QueuedJob(Made("late"))
        state = AppState(Settings(), JobQueue(workers=0))
        with pytest.raises(TimeoutError):
            await state.result(job, 0.01)
        job.answer.set_exception(InputError("secret of the home"))
        await asyncio.sleep(0.01)
        with pytest.raises(InputError):
            await state.result(job)

    # In a thread of its own: a browser test may have left a loop running in this one.
    with ThreadPoolExecutor(1) as alone:
        alone.submit(asyncio.run, leave_early()).result()
    gc.collect()
    assert "never retrieved" not in caplog.text
    assert "secret" not in caplog.text
