"""Several processes behind one port, and the small parent that looks after them.

The parent takes every connection and hands it to the next serving process, so that connections that stay open
are spread evenly: of processes that all wait at one port, one may take whatever comes at once. It keeps no
thread, since it forks anew where a process has died.
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import socket
import sys
import time
import traceback
from collections import deque
from collections.abc import Callable, Iterator, Sequence

_MOST = 4  # processes, unless more are asked for: each holds some 55 MB of its own
_STEADY = 60.0  # a process that lived so long is started again at once [s]
_REST = 1.0  # before another start of one that did not, twice as long each time [s]
_LONGEST = 64.0  # [s]
BUILT = "."  # what a process says that has done what others wait for
_TOLD = 65536  # of what a process tells in one piece [bytes]


def usual_processes() -> int:
    """How many serve unless it is said: on Linux one for each processor, up to four; elsewhere one.

    Elsewhere there is no fork, or one that libraries of the system do not bear.
    """
    return min(len(os.sched_getaffinity(0)), _MOST) if sys.platform.startswith("linux") else 1


def one_thread_each() -> None:
    """Have a library that is loaded later start no threads: what forks must have none."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


class Handed(socket.socket):
    """What a serving process listens at: the parent hands connections on, and lets go to end the process."""

    def listen(self, backlog: int = 0, /) -> None:
        """Nothing to do: the parent listens."""

    def accept(self) -> tuple[socket.socket, object]:
        """The next connection, and whose it is."""
        _, handles, _, _ = socket.recv_fds(self, 1, 1)
        if not handles:
            signal.raise_signal(signal.SIGTERM)
            raise BlockingIOError
        taken = socket.socket(fileno=handles[0])
        with contextlib.suppress(OSError):
            return taken, taken.getpeername()
        return taken, None  # it has hung up already


class Process:
    """One of the processes, started anew as often as need be.

    Parameters
    ----------
    what : str
        What it is called where its end is told.
    work : function of a socket
        What it does until the parent closes the other end of the socket.
    takes : bool
        Whether connections are handed to it.
    """

    def __init__(self, what: str, work: Callable[[socket.socket], None], *, takes: bool = False) -> None:
        self.what, self.takes = what, takes
        self.number = 0  # of the process; 0 where there is none
        self.end: socket.socket | None = None  # None as soon as it takes no more
        self.due = 0.0  # when it is to be started
        self._work = work
        self._began = self._rest = 0.0

    def start(self, leave: Callable[[], None]) -> None:
        """Fork; this process must have no thread beside its first.

        Parameters
        ----------
        leave : callable
            Closes in the new process what is the parent's alone.
        """
        self.end, its = socket.socketpair()
        sys.stdout.flush()
        sys.stderr.flush()
        self.number = os.fork()
        if self.number:
            self._began = time.monotonic()
            its.close()
            return
        status = 1
        try:
            for number in (signal.SIGINT, signal.SIGTERM):
                signal.signal(number, signal.default_int_handler)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            leave()
            self.let_go()
            self._work(its)
            status = 0
        except KeyboardInterrupt:
            status = 0
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)  # what the parent has yet to put away is not put away here

    def hear(self) -> str:
        """What it says; nothing where it has let go."""
        assert self.end is not None
        try:
            told = self.end.recv(_TOLD)
        except ConnectionResetError:  # it died with connections that were handed to it
            told = b""
        if not told:
            self.end.close()
            self.end = None
        return told.decode()

    def ended(self) -> str:
        """Whether it has died by now, and how, in words."""
        number, how = os.waitpid(self.number, os.WNOHANG)
        if not number:
            return ""
        self.let_go()
        self.number = 0
        now = time.monotonic()
        steady = now - self._began > _STEADY
        self._rest = 0.0 if steady else min(max(2 * self._rest, _REST), _LONGEST)
        self.due = now + self._rest
        code = os.waitstatus_to_exitcode(how)
        ended = f"ended by signal {-code}" if code < 0 else f"ended with status {code}"
        return f"{self.what} {ended}; another is started{f' in {self._rest:.0f} s' if self._rest else ''}."

    def let_go(self) -> None:
        """Have it end what is under way, and then itself."""
        if self.end is not None:
            self.end.close()
            self.end = None


def end_all(processes: Sequence[Process]) -> None:
    """Let all go, and wait for them."""
    for process in processes:
        process.let_go()
    for process in processes:
        if process.number:
            os.waitpid(process.number, 0)
            process.number = 0


class Parent:
    """Starts processes, hands connections on to them, and starts anew what dies.

    Parameters
    ----------
    listening : socket
    processes : sequence of Process
    say : function of a text
    buried : function of a number
        Told the number of each process that has died.
    """

    def __init__(
        self,
        listening: socket.socket,
        processes: Sequence[Process],
        say: Callable[[str], None],
        buried: Callable[[int], None],
    ) -> None:
        self._listening = listening
        self._processes = processes
        self._serving = deque(process for process in processes if process.takes)
        self._say, self._buried = say, buried
        self._ending = False
        self._woken, self._wake = socket.socketpair()
        for one in (listening, self._woken, self._wake):
            one.setblocking(False)

    def run(self) -> None:
        """Until SIGINT or SIGTERM; the processes are there then."""
        with self._signals():
            while not self._ending:
                for process in self._processes:
                    if not process.number and process.due <= time.monotonic():
                        process.start(self._leave)
                self._wait()

    @contextlib.contextmanager
    def _signals(self) -> Iterator[None]:
        """Look at signals between two steps only, so that no process is forgotten."""

        def wake(number: int, _frame: object) -> None:
            self._ending |= number != signal.SIGCHLD
            with contextlib.suppress(OSError):  # it is full: enough to wake
                self._wake.send(b".")

        numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGCHLD)
        before = {number: signal.signal(number, wake) for number in numbers}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)
            self._woken.close()
            self._wake.close()

    def _leave(self) -> None:
        for process in self._processes:
            process.let_go()  # or the others would not notice when the parent is gone
        for one in (self._listening, self._woken, self._wake):
            one.close()

    def _wait(self) -> None:
        waiting = {process.end: process for process in self._processes if process.end is not None}
        taking = [self._listening] if any(process.end for process in self._serving) else []  # else they wait
        dues = [process.due - time.monotonic() for process in self._processes if not process.number]
        rest = max(min(dues), 0) if dues else None
        ready, _, _ = select.select([self._woken, *taking, *waiting], [], [], rest)
        for end in ready:
            if end in waiting and (told := waiting[end].hear()) not in ("", BUILT):
                self._say(told)
        if self._listening in ready:
            self._hand_on()
        if self._woken in ready:
            self._woken.recv(_TOLD)
            for process in self._processes:
                number = process.number
                if number and not self._ending and (how := process.ended()):
                    self._say(how)
                    self._buried(number)

    def _hand_on(self) -> None:
        with contextlib.suppress(OSError):  # who asked has hung up
            taken, _ = self._listening.accept()
            with taken:
                for _ in self._processes:
                    self._serving.rotate(-1)
                    end = self._serving[-1].end
                    with contextlib.suppress(OSError):  # one that is dying, or takes nothing any more
                        if end is not None:
                            socket.send_fds(end, [b"."], [taken.fileno()], socket.MSG_DONTWAIT)
                            return
