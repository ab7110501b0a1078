"""How a load hangs, what its legs carry, and which lengths are taken where none is recorded."""
