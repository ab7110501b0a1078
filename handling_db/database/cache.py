"""Answers that are kept by what they depend on, so that each is worked out once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Value = TypeVar("Value")


class LastAnswers(Generic[Value]):
    """The last so many answers by key, for several threads.

    `functools.lru_cache` would make the connection part of the key; here the key is what matters, such as
    the stamp of the database and the question. What several ask for at once the first of them works out; the
    others wait.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._under_way: dict[Hashable, threading.Event] = {}
        self._lock = threading.Lock()

    def get(
        self, key: Hashable, work_out: Callable[[], Value], worth: Callable[[Value], bool] | None = None
    ) -> Value:
        """The kept answer, or a new one; an exception is not kept.

        Parameters
        ----------
        key : hashable
            Everything the answer depends on.
        work_out : callable
        worth : callable, optional
            Whether a new answer is to be kept; every one unless given.
        """
        while True:
            with self._lock:
                if key in self._values:
                    self._values.move_to_end(key)
                    return self._values[key]
                other = self._under_way.get(key)
                if other is None:
                    done = self._under_way[key] = threading.Event()
                    break
            other.wait()
        try:
            value = work_out()
            if worth is None or worth(value):
                with self._lock:
                    self._values[key] = value
                    while len(self._values) > self._most:
                        self._values.popitem(last=False)
            return value
        finally:
            with self._lock:
                del self._under_way[key]
            done.set()
