"""Totals and centres of a whole graph over plain arrays, level by level."""
