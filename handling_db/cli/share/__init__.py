"""Commands between shops."""
