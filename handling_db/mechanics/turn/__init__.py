"""Turning over an edge, two hooks, and what a joint carries meanwhile."""
