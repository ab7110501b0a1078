"""Answers that are kept by what they depend on, so that each is worked out once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar
from weakref import WeakSet

Value = TypeVar("Value")

_all: WeakSet[LastAnswers[Any]] = WeakSet()
_all_lock = threading.Lock()  # a set that grows while another thread goes through it raises


class LastAnswers(Generic[Value]):
    """The last so many answers by key, for several threads.

    `functools.lru_cache` would make the connection part of the key; here the key is what matters, such as
    the stamp of the database and the question. What several ask for at once the first of them works out; the
    others wait.

    Parameters
    ----------
    most : int
        So many are kept; the one that was asked for longest ago goes first.
    stamped : bool
        Whether a key is a stamp or begins with one, so that its answer ends with the file of that stamp.
        What is kept by its content alone is good for the next file too, and ends when nobody has asked for
        it while two files were let go.
    """

    def __init__(self, most: int, *, stamped: bool = True) -> None:
        self._most = most
        self._stamped = stamped
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._under_way: dict[Hashable, threading.Event] = {}
        self._unasked: dict[Hashable, int] = {}  # how many files were let go since an answer was asked for
        self._lock = threading.Lock()
        with _all_lock:
            _all.add(self)

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
                    self._unasked.pop(key, None)
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
                        self._unasked.pop(self._values.popitem(last=False)[0], None)
            return value
        finally:
            with self._lock:
                del self._under_way[key]
            done.set()

    def kept(self, key: Hashable) -> Value | None:
        """The kept answer; None where there is none yet: nothing is worked out, nobody waits."""
        with self._lock:
            if key not in self._values:
                return None
            self._values.move_to_end(key)
            self._unasked.pop(key, None)
            return self._values[key]

    def let_go(self, stamp: str) -> None:
        """Forget what nobody will ask for again, now that a file is served no more."""
        with self._lock:
            if self._stamped:
                over = [key for key in self._values if stamp == (key[0] if isinstance(key, tuple) else key)]
            else:
                over = [key for key in self._values if self._unasked.get(key, 0) > 0]
                self._unasked = dict.fromkeys(self._values, 1)
            for key in over:
                del self._values[key]
                self._unasked.pop(key, None)


def let_go(stamp: str) -> None:
    """Forget every answer that only a file with this stamp could be asked for; it is served no more.

    Parameters
    ----------
    stamp : str
        Where another file of the same stamp is still served, its answers are worked out again.
    """
    with _all_lock:
        several = list(_all)
    for answers in several:
        answers.let_go(stamp)
