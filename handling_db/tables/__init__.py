"""Flat tables and spreadsheets as records."""
