"""Work shared out: in order, no further ahead than asked, and nothing lost with a worker."""

import os
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from itertools import count, islice

import pytest

from energysim.sharing import shared


def times(factor, value):
    return factor * value


PIECES = [(10, value) for value in range(7)]
ANSWERS = [10 * value for value in range(7)]


class Counting(Executor):
    """Does the work at once; some pieces are lost, some come to nobody."""

    def __init__(self, *, lost=(), left_after=None):
        self.lost, self.left_after = lost, left_after
        self.taken, self.futures = [], []

    def submit(self, fn, /, *args, **kwargs):
        if self.left_after is not None and len(self.taken) >= self.left_after:
            raise BrokenExecutor
        future = Future()
        self.taken.append(args[-1])
        self.futures.append(future)
        if args[-1] in self.lost:
            future.set_exception(BrokenExecutor())
        elif args[-1] >= 0:
            future.set_result(fn(*args, **kwargs))
        return future


class Laying(Counting):
    """Keeps what is common, and is told what stands for it."""

    def __init__(self):
        super().__init__()
        self.laid = []

    def keep(self, common):
        if not any(common is one for one in self.laid):
            self.laid.append(common)
        return common


@pytest.mark.parametrize(
    "executor",
    [
        None,
        Counting(),
        Counting(lost={0, 3, 6}),
        Counting(left_after=0),
        Counting(left_after=3),
    ],
    ids=["nobody", "all", "some-lost", "nobody-takes", "nobody-left"],
)
def test_answers_come_in_order_whoever_is_lost(executor):
    assert list(shared(times, PIECES, executor)) == ANSWERS


def test_threads_give_the_same():
    with ThreadPoolExecutor(3) as pool:
        assert list(shared(times, PIECES, pool, ahead=2)) == ANSWERS


def test_no_more_is_handed_out_than_is_asked_for_and_pieces_may_be_without_end():
    executor = Counting()
    coming = shared(times, ((2, value) for value in count()), executor, ahead=5)
    assert list(islice(coming, 3)) == [0, 2, 4]
    assert len(executor.taken) == 3 - 1 + 5
    coming.close()


def test_leaving_early_lets_go_of_what_has_not_begun():
    executor = Counting()
    coming = shared(times, [(1, 1), (1, -1), (1, -2)], executor)
    assert next(coming) == 1
    coming.close()
    assert [future.cancelled() for future in executor.futures] == [False, True, True]


def test_what_is_common_is_laid_out_once():
    executor = Laying()
    common = [3]
    pieces = [(common, value) for value in range(4)]
    assert list(shared(times, pieces, executor)) == [[3] * value for value in range(4)]
    assert executor.laid == [common]


def test_what_goes_wrong_in_the_work_itself_is_raised():
    with ThreadPoolExecutor(1) as pool, pytest.raises(ZeroDivisionError):
        list(shared(divmod, [(1, 1), (1, 0)], pool))


def test_a_process_that_is_gone_costs_time_only():
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415 - here alone

    with ProcessPoolExecutor(1) as pool:
        pool.submit(os._exit, 9)
        assert list(shared(divmod, [(7, 2), (9, 4)], pool)) == [(3, 1), (2, 1)]
