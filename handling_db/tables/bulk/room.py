"""Memory that the columns of a large table leave, kept for the next ones."""

from __future__ import annotations

import contextlib
import ctypes
import sys
from collections.abc import Iterator

# What the GNU C library calls its settings (`man mallopt`), and the most that it takes for the second.
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
_MOST_FROM_HEAP = 32 << 20
_NEVER = (1 << 31) - 1


@contextlib.contextmanager
def room_kept() -> Iterator[None]:
    """Have the C library keep what is freed while something large is worked out, and give it back afterwards.

    Columns of a million rows come and go by the hundred. To have each cleared anew by the system takes up to
    a tenth of a build.
    """
    library = None
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError, AttributeError):  # another C library than the GNU one
            library = ctypes.CDLL(None)
            library.mallopt(_MMAP_THRESHOLD, _MOST_FROM_HEAP)
            library.mallopt(_TRIM_THRESHOLD, _NEVER)
    try:
        yield
    finally:
        if library is not None:
            with contextlib.suppress(AttributeError):
                library.mallopt(_TRIM_THRESHOLD, 2 * _MOST_FROM_HEAP)  # what it would have come to by itself
                library.malloc_trim(0)
