"""Modules and sheets made ready while the service waits for its first question: nobody waits for them."""

from __future__ import annotations

import importlib
import threading

# Each with what it imports.
MODULES = (
    "highspy",
    "numpy.ma",
    "numpy.random",
    "handling_db.balance.bounds",
    "handling_db.balance.explained",
    "handling_db.checker.gaps",
    "handling_db.database.queries.tree",
    "handling_db.families.shape_specs",
    "handling_db.files.rating_factors",
    "handling_db.interface.lifting",
    "handling_db.interface.lighten",
    "handling_db.jobs.lighten.answer",
    "handling_db.jobs.lighten.words",
    "handling_db.lifting.levelling.lengths",
    "handling_db.lifting.levelling.seen_tilt",
    "handling_db.lifting.levelling.words",
    "handling_db.lifting.turn.answer",
    "handling_db.lifting.two_hooks",
    "handling_db.lookup.sweep_answer",
    "handling_db.moving.answer",
    "handling_db.moving.texts",
    "handling_db.records.ids",
    "handling_db.sharing.marks",
    "handling_db.shop.answer",
    "handling_db.shop.hands",
    "handling_db.web.drawings.lift",
)


def make_ready() -> None:
    """Import what pages are worked out with, complete the classes of records, and compile the sheets."""
    from handling_db.quantities.pint_units import pint_registry
    from handling_db.records.collection import KINDS
    from handling_db.web.site import environment

    for name in MODULES:
        importlib.import_module(name)
    for kind in KINDS.values():
        kind.model_rebuild()
    pint_registry()
    sheets = environment()
    for sheet in sheets.list_templates():
        sheets.get_template(sheet)


def begin_to_make_ready() -> threading.Thread:
    """The same beside the service, so that it listens at once; its end is waited for by nobody."""
    thread = threading.Thread(target=make_ready, name="ready", daemon=True)
    thread.start()
    return thread
