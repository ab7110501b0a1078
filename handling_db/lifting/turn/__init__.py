"""Turning a load over an edge: as recorded, as figures, in words."""
