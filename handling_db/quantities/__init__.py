"""Exact quantities, masses with doubt, and how both are printed."""
