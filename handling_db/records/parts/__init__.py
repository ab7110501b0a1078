"""Pieces that several kinds of record are made of."""
