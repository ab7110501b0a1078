"""Memory that a view that is let go leaves behind, given back to the system."""

from __future__ import annotations

import contextlib
import ctypes
import gc
import sys

from handling_db.database.cache import let_go


def give_back(stamp: str) -> None:
    """Forget what was kept for a file that is served no more, and give its room back.

    Parameters
    ----------
    stamp : str
        Of that file.
    """
    let_go(stamp)
    gc.collect()  # an application and its parts point at each other in rings, which only this finds
    if sys.platform.startswith("linux"):
        # The C library keeps freed room for each thread, and each view has threads of its own: without this
        # the service grows by some megabytes with every file that is built.
        with contextlib.suppress(OSError, AttributeError):  # another C library than the GNU one
            ctypes.CDLL(None).malloc_trim(0)
