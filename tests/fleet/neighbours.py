"""Another shop's collection beside the demo: a brake that weighs more there, and a drive that was weighed there."""

from __future__ import annotations

from pathlib import Path

from handling_db.database.build import build_database

NEIGHBOUR = """\
- {shop: low-tarrowby, name: Low Tarrowby, first unit: kg}
- {source: yard-scale, name: Yard scale, kind: weighed, shop: low-tarrowby, instrument: {name: yard scale, step: 0.5 kg}}
- component: winch
  name: Winch
  kind: assembly
  parts listed: all
  parts:
    - {component: brake, quantity: 2}
    - {component: drive, quantity: 1}
    - {component: rope, quantity: 1}
- component: brake
  name: Brake as on the winch
  kind: part
  maker: pellhaven
  part number: ph31.2500
  masses: [{printed: 61.5 kg, plus or minus: 0.5 kg, source: yard-scale}]
- component: drive
  name: Side drive
  kind: part
  part number: PH31-1600
  masses: [{printed: 27.5 kg, plus or minus: 0.5 kg, source: yard-scale}]
- {component: rope, name: Rope, kind: part}
"""


def heavier(work: Path) -> Path:
    """The neighbour's database file."""
    folder = work / "neighbour"
    folder.mkdir()
    (folder / "records.yml").write_text(NEIGHBOUR, encoding="utf-8")
    out = work / "neighbour.db"
    build_database([folder], out)
    return out
