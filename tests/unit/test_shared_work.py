"""Work that two threads share, and work in the background."""

import threading

import numpy as np
import pytest

from climrisk.core.chunked import (
    by_slabs,
    in_background,
    is_single_threaded,
    share_out,
    single_threaded,
)
from climrisk.core.lookups import note, noting

PATIENCE_S = 60


def test_every_part_is_run_once_and_its_result_stands_in_its_place():
    done = []

    def square(x):
        done.append(x)
        return x * x

    assert share_out(square, range(1000)) == [x * x for x in range(1000)]
    assert sorted(done) == list(range(1000))


def test_two_threads_share():
    # Each part waits for another: one thread alone would not get on.
    both = threading.Barrier(2)
    threads = share_out(
        lambda _: (both.wait(PATIENCE_S), threading.get_ident())[1], range(2)
    )
    assert len(set(threads)) == 2
    assert threading.get_ident() in threads


def test_a_part_does_its_own_work_by_itself():
    def single(_):
        return is_single_threaded()

    nested = share_out(lambda _: share_out(single, range(3)), range(2))
    assert nested == [[True] * 3] * 2
    assert not is_single_threaded()
    with single_threaded():
        here = share_out(lambda _: threading.get_ident(), range(5))
    assert set(here) == {threading.get_ident()}


def test_the_caller_does_all_where_the_other_thread_is_busy():
    begun, go_on = threading.Event(), threading.Event()

    def occupy():
        caller = threading.get_ident()

        def long(place):
            if threading.get_ident() == caller:
                return begun.wait(PATIENCE_S)
            begun.set()
            return go_on.wait(PATIENCE_S)

        return share_out(long, range(2))

    waits = in_background(occupy)
    assert begun.wait(PATIENCE_S)
    here = share_out(lambda _: threading.get_ident(), range(5))
    assert set(here) == {threading.get_ident()}
    go_on.set()
    assert waits() == [True, True]


@pytest.mark.parametrize("wrong", [0, 1, 999])
@pytest.mark.parametrize("kind", [ValueError, IndexError])
def test_an_error_in_a_part_is_raised(wrong, kind):
    def fails(x):
        if x == wrong:
            raise kind("wrong")

    with pytest.raises(kind, match="wrong"):
        share_out(fails, range(1000))
    assert not is_single_threaded()


def test_what_is_done_in_the_background_is_noted_and_its_error_comes_with_its_result():
    def looks_up():
        note("spot", "shelf", 1)
        return threading.get_ident()

    with noting() as notes:
        assert in_background(looks_up)() != threading.get_ident()
    assert notes["spot"] == {"shelf": 1}
    with single_threaded():
        assert in_background(looks_up)() == threading.get_ident()
    fails = in_background(lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        fails()


@pytest.mark.parametrize("cases", [1, 3])
def test_slabs_give_what_the_whole_gives(cases):
    rng = np.random.default_rng(5)
    x = rng.normal(size=(400_001, cases)).astype(np.float32)
    y = rng.normal(size=(400_001, 1)).astype(np.float32)
    np.testing.assert_array_equal(by_slabs(lambda a, b: a * b, x, y), x * y)
    spread = np.arange(4, dtype=np.float32)[None]
    wide = by_slabs(lambda b: b + spread, y, cases=4)
    np.testing.assert_array_equal(wide, y + spread)
