"""A view as `serve` serves it, with a route that does nothing beside ours: ``python -m tests.benchmarks.served FILE``.

Further words are passed on to `serve`.
"""

from __future__ import annotations

import sys
from typing import Any


class Nothing:
    """A plugin whose one route does nothing: what any page costs at least."""

    __name__ = "nothing"

    def register_routes(self) -> list[tuple[str, Any]]:
        """The one route."""
        from datasette.utils.asgi import Response

        return [(r"^/nothing$", lambda: Response.text("nothing"))]


def plugged_in() -> Nothing:
    """The plugin, registered for every view of this process."""
    from datasette import hookimpl
    from datasette.plugins import pm

    Nothing.register_routes = hookimpl(Nothing.register_routes)  # type: ignore[method-assign]
    plugin = Nothing()
    pm.register(plugin, name="nothing")
    return plugin


if __name__ == "__main__":
    from handling_db.cli import main

    plugged_in()
    main(["serve", "--db", sys.argv[1], "--port", "0", *sys.argv[2:]])
