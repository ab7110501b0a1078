"""Parcels: what one shop sends another, and what the other makes of it."""
