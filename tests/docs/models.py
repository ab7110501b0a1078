"""Every kind of record and every mapping that may stand inside one, found from the registry of kinds."""

from __future__ import annotations

from handling_db.records.collection import KINDS
from handling_db.records.schema import mappings_of

MODELS = {part.__name__: part for kind in KINDS.values() for part in mappings_of(kind)}
