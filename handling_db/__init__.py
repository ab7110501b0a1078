"""What heavy assemblies weigh, what holds them together, and how they are handled.

    import handling_db as hd

    records = hd.read(["data/demo"])
    print(hd.weight(records, "differential section").words(first="lb"))

Figures, not permission: data plates, tags and local rules come first; a competent person plans the lift.
Names are loaded when they are first used, so that importing the package costs nothing.
"""

from __future__ import annotations

TYPE_CHECKING = False  # to a type checker it is true; without `typing`, which takes half a start of Python

__version__ = "0.1.0"

if TYPE_CHECKING:
    from handling_db.errors import AmbiguousNameError as AmbiguousNameError
    from handling_db.errors import HandlingError as HandlingError
    from handling_db.errors import UnknownNameError as UnknownNameError
    from handling_db.findings import FaultsError as FaultsError
    from handling_db.interface.given import mass as mass
    from handling_db.interface.jobs import steps as steps
    from handling_db.interface.keeping import build as build
    from handling_db.interface.keeping import check as check
    from handling_db.interface.keeping import gaps as gaps
    from handling_db.interface.keeping import open_file as open  # named below
    from handling_db.interface.lifting import joint as joint
    from handling_db.interface.lifting import legs as legs
    from handling_db.interface.lifting import level as level
    from handling_db.interface.lifting import lift as lift
    from handling_db.interface.lifting import reading as reading
    from handling_db.interface.lifting import rules as rules
    from handling_db.interface.lifting import tilt as tilt
    from handling_db.interface.lifting import turn as turn
    from handling_db.interface.lifting import two_hooks as two_hooks
    from handling_db.interface.lighten import lighten as lighten
    from handling_db.interface.lookup import bounds as bounds
    from handling_db.interface.lookup import doubt as doubt
    from handling_db.interface.lookup import explain as explain
    from handling_db.interface.lookup import heavier as heavier
    from handling_db.interface.lookup import reconcile as reconcile
    from handling_db.interface.lookup import sweep as sweep
    from handling_db.interface.lookup import weight as weight
    from handling_db.interface.lookup import why as why
    from handling_db.interface.moving import fixtures as fixtures
    from handling_db.interface.moving import hand_index as hand_index
    from handling_db.interface.moving import hands as hands
    from handling_db.interface.moving import move as move
    from handling_db.interface.moving import shop_has as shop_has
    from handling_db.interface.moving import stand as stand
    from handling_db.loading import read as read
    from handling_db.records.proved import Records as Records
    from handling_db.serialise import Answer as Answer

# public name: (module, name in it)
_WHERE = {
    "AmbiguousNameError": ("errors", "AmbiguousNameError"),
    "Answer": ("serialise", "Answer"),
    "FaultsError": ("findings", "FaultsError"),
    "HandlingError": ("errors", "HandlingError"),
    "Records": ("records.proved", "Records"),
    "UnknownNameError": ("errors", "UnknownNameError"),
    "bounds": ("interface.lookup", "bounds"),
    "build": ("interface.keeping", "build"),
    "check": ("interface.keeping", "check"),
    "doubt": ("interface.lookup", "doubt"),
    "explain": ("interface.lookup", "explain"),
    "fixtures": ("interface.moving", "fixtures"),
    "gaps": ("interface.keeping", "gaps"),
    "hand_index": ("interface.moving", "hand_index"),
    "hands": ("interface.moving", "hands"),
    "heavier": ("interface.lookup", "heavier"),
    "joint": ("interface.lifting", "joint"),
    "legs": ("interface.lifting", "legs"),
    "two_hooks": ("interface.lifting", "two_hooks"),
    "level": ("interface.lifting", "level"),
    "lift": ("interface.lifting", "lift"),
    "lighten": ("interface.lighten", "lighten"),
    "mass": ("interface.given", "mass"),
    "move": ("interface.moving", "move"),
    "open": ("interface.keeping", "open_file"),
    "read": ("loading", "read"),
    "reading": ("interface.lifting", "reading"),
    "reconcile": ("interface.lookup", "reconcile"),
    "rules": ("interface.lifting", "rules"),
    "shop_has": ("interface.moving", "shop_has"),
    "stand": ("interface.moving", "stand"),
    "steps": ("interface.jobs", "steps"),
    "sweep": ("interface.lookup", "sweep"),
    "tilt": ("interface.lifting", "tilt"),
    "turn": ("interface.lifting", "turn"),
    "weight": ("interface.lookup", "weight"),
    "why": ("interface.lookup", "why"),
}

__all__ = [
    "AmbiguousNameError",
    "Answer",
    "FaultsError",
    "HandlingError",
    "Records",
    "UnknownNameError",
    "bounds",
    "build",
    "check",
    "doubt",
    "explain",
    "fixtures",
    "gaps",
    "hand_index",
    "hands",
    "heavier",
    "joint",
    "legs",
    "level",
    "lift",
    "lighten",
    "mass",
    "move",
    "open",
    "read",
    "reading",
    "reconcile",
    "rules",
    "shop_has",
    "stand",
    "steps",
    "sweep",
    "tilt",
    "turn",
    "two_hooks",
    "weight",
    "why",
]


def __getattr__(name: str) -> object:
    """A public name, from its module, when it is first asked for."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    module, inside = _WHERE[name]
    found = getattr(importlib.import_module(f"{__name__}.{module}"), inside)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *_WHERE})
