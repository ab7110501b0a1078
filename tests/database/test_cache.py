"""Answers that are kept: several who ask for the same at once."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from handling_db.database.cache import LastAnswers


def test_what_several_ask_for_at_once_is_worked_out_by_one() -> None:
    kept: LastAnswers[int] = LastAnswers(4)
    begun, go_on = threading.Event(), threading.Event()
    worked: list[int] = []

    def work_out() -> int:
        worked.append(1)
        begun.set()
        assert go_on.wait(10)
        return 7

    with ThreadPoolExecutor(4) as threads:
        several = [threads.submit(kept.get, "same", work_out) for _ in range(4)]
        assert begun.wait(10)
        assert kept.get("another", lambda: 8) == 8  # others are not held up
        go_on.set()
        assert [one.result(10) for one in several] == [7] * 4
    assert worked == [1]


def test_where_the_first_fails_the_next_one_works_it_out() -> None:
    kept: LastAnswers[int] = LastAnswers(4)
    begun, go_on = threading.Event(), threading.Event()

    def fail() -> int:
        begun.set()
        assert go_on.wait(10)
        raise ValueError("not now")

    with ThreadPoolExecutor(2) as threads:
        first = threads.submit(kept.get, "same", fail)
        assert begun.wait(10)
        second = threads.submit(kept.get, "same", lambda: 7)
        go_on.set()
        with pytest.raises(ValueError, match="not now"):
            first.result(10)
        assert second.result(10) == 7
