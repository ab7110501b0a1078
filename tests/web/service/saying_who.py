"""The command line with a route that says which process answers: ``python -m tests.web.service.saying_who serve``."""

from __future__ import annotations

import os
import sys
from typing import Any


class Who:
    """A plugin whose one route says the number of the process."""

    __name__ = "who"

    def register_routes(self) -> list[tuple[str, Any]]:
        """The one route."""
        from datasette.utils.asgi import Response

        return [(r"^/who$", lambda: Response.text(str(os.getpid())))]


if __name__ == "__main__":
    from datasette import hookimpl
    from datasette.plugins import pm

    from handling_db.cli import main

    Who.register_routes = hookimpl(Who.register_routes)  # type: ignore[method-assign]
    pm.register(Who(), name="who")
    main([*sys.argv[1:], "--port", "0"])
