"""Drawings as SVG text, to scale from what is recorded; each with its words for who does not see it."""
