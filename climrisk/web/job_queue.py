"""A queue of jobs, done by a few worker processes; finished answers are cached.

Work is done in processes of their own, so that it can be stopped at once, and so that
its time and memory are bounded by the system and not by good will.
"""

from __future__ import annotations

import importlib
import multiprocessing
import re
import signal
import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Protocol

from climrisk.core.errors import ClimriskError, InputError
from climrisk.weather.stations.progress import listening

_POLL_S = 0.1
_STEP = re.compile(r"\b(\d+) of (\d+)\b")


class StoppedError(ClimriskError):
    """The work was stopped: by the keeper, by the clock or for want of memory."""


class BusyError(ClimriskError):
    """More jobs wait than the queue takes."""


class Keyed(Protocol):
    """A task that can be told from others."""

    @property
    def key(self) -> str:
        """Short name of the question."""

    @property
    def subject(self) -> object:
        """What it is about: a process that worked on it before is quicker."""


@dataclass
class QueuedJob:
    """A job of the queue; `document` is its answer as JSON, once asked for."""

    task: Keyed
    answer: Future[Any] = field(default_factory=Future)
    words: str = "waiting for its turn"
    since: float = field(default_factory=time.monotonic)
    stopped: bool = False
    document: str | None = None

    @property
    def share(self) -> float | None:
        """Part that is done, if the step counts: "year 3 of 15" is two fifteenths."""
        found = _STEP.search(self.words)
        if found is None:
            return None
        step, of = int(found[1]), int(found[2])
        return max(0.0, min(1.0, (step - 1) / of)) if of else None

    @property
    def seconds(self) -> float:
        """How long it has been here."""
        return time.monotonic() - self.since


class JobQueue:
    """Answers questions with a few worker processes.

    Parameters
    ----------
    functions : str
        Module with ``warm()`` and ``run(task)``.
    workers, answers, waiting : int
        Processes; answers kept; questions that may wait.
    seconds : float
        After so long a question is given up.
    memory_mb : int
        Data a process may hold, where the system can bound it.
    """

    def __init__(
        self,
        functions: str = "climrisk.web.tasks",
        *,
        workers: int = 2,
        seconds: float = 180.0,
        memory_mb: int = 3000,
        answers: int = 64,
        waiting: int = 40,
    ) -> None:
        self._functions = functions
        self._seconds = seconds
        self._memory_mb = memory_mb
        self._most_answers = answers
        self._most_waiting = waiting
        self._waiting: deque[QueuedJob] = deque()
        self._jobs: OrderedDict[str, QueuedJob] = OrderedDict()
        self._lock = threading.Lock()
        self._changed = threading.Condition(self._lock)
        #: Which process worked on a subject last, and which have nothing to do.
        self._last: OrderedDict[object, int] = OrderedDict()
        self._idle: set[int] = set()
        self._threads = [
            threading.Thread(
                target=self._serve, args=(i,), daemon=True, name=f"jobs {i}"
            )
            for i in range(workers)
        ]
        self._closed = False

    def start(self) -> None:
        """Start the queue; its processes begin to warm up."""
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        """Stop all work and end the processes."""
        with self._changed:
            self._closed = True
            for job in self._jobs.values():
                job.stopped = True
            self._changed.notify_all()
        for thread in self._threads:
            thread.join(5)

    def submit(self, task: Keyed) -> QueuedJob:
        """Return the job of a question: the same one while it is being worked on.

        Raises
        ------
        BusyError
        """
        with self._changed:
            held = self._jobs.get(task.key)
            if held is not None and not _lost(held):
                self._jobs.move_to_end(task.key)
                return held
            if len(self._waiting) >= self._most_waiting:
                raise BusyError(
                    "too many questions at once", next_step="ask again in a minute"
                )
            job = QueuedJob(task)
            self._waiting.append(job)
            self._jobs[task.key] = job
            self._forget()
            self._changed.notify_all()
            return job

    def stop(self, key: str) -> bool:
        """Stop the work on a question; False where there is none."""
        with self._lock:
            job = self._jobs.get(key)
        if job is None or job.answer.done():
            return False
        job.stopped = True
        return True

    def _forget(self) -> None:
        done = [k for k, t in self._jobs.items() if t.answer.done()]
        for key in done[: max(0, len(done) - self._most_answers)]:
            del self._jobs[key]

    def _serve(self, number: int) -> None:
        worker = _Worker(self._functions, self._memory_mb)
        worker.warm()
        while (job := self._next(number)) is not None:
            self._work(worker, job)
        worker.end()

    def _next(self, number: int) -> QueuedJob | None:
        """Return the next job for a process; None once the queue is closed."""
        with self._changed:
            self._idle.add(number)
            while not self._closed:
                job = next((j for j in self._waiting if self._is_for(j, number)), None)
                if job is not None:
                    self._waiting.remove(job)
                    self._idle.discard(number)
                    subject = job.task.subject
                    self._last[subject] = number
                    self._last.move_to_end(subject)
                    while len(self._last) > self._most_answers:
                        self._last.popitem(last=False)
                    # Another process may take what this one was expected to do.
                    self._changed.notify_all()
                    return job
                self._changed.wait(1.0)
            return None

    def _is_for(self, job: QueuedJob, number: int) -> bool:
        """Whether a process takes a job: the one that knows its subject, if it can."""
        best = self._last.get(job.task.subject)
        return best is None or best == number or best not in self._idle

    def _work(self, worker: _Worker, job: QueuedJob) -> None:
        begin = time.monotonic()

        def over() -> str | None:
            if job.stopped or self._closed:
                return "stopped; nothing was changed"
            if time.monotonic() - begin > self._seconds:
                return f"given up after {self._seconds:.0f} s"
            return None

        def say(words: str) -> None:
            job.words = words

        try:
            answer = worker.run(job.task, over, say)
        except ClimriskError as error:
            job.answer.set_exception(error)
        except Exception as fault:
            line = f"no process can be started here: {type(fault).__name__}"
            job.answer.set_exception(ClimriskError(line))
        else:
            job.answer.set_result(answer)


def _lost(job: QueuedJob) -> bool:
    """Whether a job came to an end that asking again may change."""
    if job.stopped:
        return True
    if not job.answer.done():
        return False
    error = job.answer.exception()
    return error is not None and not isinstance(error, InputError)


class _Worker:
    """A process that runs one task after another; ended and begun anew on need."""

    def __init__(self, functions: str, memory_mb: int) -> None:
        self._functions, self._memory_mb = functions, memory_mb
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None

    def warm(self) -> None:
        """Begin before there is a question; what fails will fail again with it."""
        with suppress(Exception):
            self._begin()

    def run(
        self, task: Keyed, over: Callable[[], str | None], say: Callable[[str], None]
    ) -> Any:
        if self._pipe is None or self._process is None or not self._process.is_alive():
            self._begin()
        pipe = self._pipe
        assert pipe is not None
        try:
            pipe.send(task)
            while True:
                why = over()
                if why is not None:
                    self.end()
                    raise StoppedError(why)
                if not pipe.poll(_POLL_S):
                    continue
                kind, *rest = pipe.recv()
                if kind == "said":
                    say(rest[0])
                elif kind == "done":
                    return rest[0]
                elif kind == "refused":
                    raise rest[0]
        except (EOFError, OSError) as error:
            self.end()
            raise StoppedError(
                "the work ended early: it may have needed more memory than it may use",
                next_step="ask for fewer years or fewer pots",
            ) from error

    def end(self) -> None:
        """End the process, at once."""
        if self._process is not None:
            self._process.kill()
            self._process.join(5)
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None

    def _begin(self) -> None:
        self.end()
        context = multiprocessing.get_context("spawn")
        self._pipe, other = context.Pipe()
        process = context.Process(
            target=_working, args=(other, self._functions, self._memory_mb), daemon=True
        )
        process.start()
        # One that could not be started has nothing to end.
        self._process = process
        other.close()


def _working(pipe: Connection, functions: str, memory_mb: int) -> None:
    """Do one task after another; the body of a worker process."""
    with suppress(ValueError, OSError):
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    _bound_memory(memory_mb)
    module = importlib.import_module(functions)
    with suppress(ClimriskError, OSError):
        module.warm()
    while True:
        try:
            task = pipe.recv()
        except (EOFError, OSError):
            return
        with suppress(BrokenPipeError):
            pipe.send(_done(module, task, pipe))


def _done(module: Any, task: Any, pipe: Connection) -> tuple[Any, ...]:
    try:
        with listening(lambda words: pipe.send(("said", words))):
            return "done", module.run(task)
    except ClimriskError as error:
        return "refused", error
    except MemoryError:
        what = "this needs more memory than one answer may use"
        return "refused", InputError(what, next_step="ask for fewer years")
    except Exception as fault:
        line = f"a fault of climrisk, not of your input: {type(fault).__name__}"
        return "refused", ClimriskError(line)


def _bound_memory(megabytes: int) -> None:
    """Bound the data of this process, where the system can."""
    try:
        import resource
    except ImportError:
        return
    size = megabytes * 1_000_000
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_DATA, (size, size))
