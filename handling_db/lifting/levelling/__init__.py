"""Hanging level: leg lengths that do it, and what the tilt seen at a trial lift says."""
