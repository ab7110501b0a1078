"""Legs, links, charts and published factors of lifting gear as plain figures; knows no record."""
