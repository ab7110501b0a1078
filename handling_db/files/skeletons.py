"""The smallest valid record of every kind, as text to fill in, with every other field named below it."""

from __future__ import annotations

import textwrap

from handling_db.errors import HandlingError
from handling_db.files.yaml_text import dump_text
from handling_db.records.collection import KINDS
from handling_db.records.kinds.origin import BOOKKEEPING

# What has to be there; every value is a place-holder that reads, so that the file can be checked at once.
SMALLEST: dict[str, str] = {
    "component": "name: NAME\nkind: part",
    "source": "name: NAME\nkind: weighed",
    "source kind": "name: NAME\nrank: 20\nbasis: Say where rank and doubt come from.",
    "material": "name: NAME\ndensity: 7850 kg/m³\nbasis: Say where the figure comes from.",
    "weighing": (
        "of: gear-section\ngross: 100.0 kg\ntare: none\nchecked by: fitter\nstate: drained\n"
        "source: floor-scale\non: 2026-01-31\nby: fitter"
    ),
    "note": (
        "about: {component: gear-section}\nkind: tie\ntext: Say what to look for, before the act.\n"
        "told by: shop\nauthor: fitter\non: 2026-01-31\nseen: one report\nstatus: draft"
    ),
    "joint": "name: NAME\nwithin: transfer-box\nbetween: [gear-section, differential-section]",
    "lift group": "name: NAME\nroot: transfer-box\ntakes:\n- [differential-section]",
    "gear": "name: NAME\nkind: chain sling",
    "job": "unit: transfer-box\nopened: {on: 2026-01-31, by: foreman}",
    "job plan": "name: NAME\nunit: transfer-box\nsteps:\n- {do: look, what: Say what is done}",
    "fixture": "name: NAME\nkind: stand",
    "mover": "name: NAME\nkind: hoist",
    "shop": "name: NAME",
    "pallet": "name: NAME\nkind: flat pallet",
    "packing": "name: NAME\nkind: crate\nfor components: [gear-section]",
    "choice": (
        "component: gear-section\nby: data keeper\non: 2026-01-31\nreason: Say why.\n"
        "owner: data keeper\nsettle by: 2026-03-31"
    ),
}


def kinds() -> tuple[str, ...]:
    """The kinds of record that a person writes, in the order of kinds."""
    return tuple(kind for kind in KINDS if kind not in BOOKKEEPING)


def skeleton(kind: str, record_id: str) -> str:
    """A valid record to fill in.

    Parameters
    ----------
    kind : str
        As written in the records.
    record_id : str

    Returns
    -------
    str
        YAML that reads without a fault; the fields that may be added stand below as comments.

    Raises
    ------
    HandlingError
        There is no such kind.
    """
    if kind not in kinds():
        raise HandlingError(f"there is no kind {kind!r}; the kinds are: {', '.join(kinds())}")
    head = dump_text({kind: record_id, "": [{}]}).splitlines()[0]  # quoted where it needs quotes
    body = f"{head}\n{SMALLEST[kind]}\n"
    given = {line.split(":")[0] for line in body.splitlines()}
    more = [f.alias or name for name, f in KINDS[kind].model_fields.items()]
    listed = ", ".join(field for field in more if field not in given)
    wrapped = "\n#   ".join(textwrap.wrap(listed, 90))
    return f"{body}# May be added: {wrapped}\n" if listed else body
