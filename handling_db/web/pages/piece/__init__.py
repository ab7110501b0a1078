"""The page of one piece: its figures, what is off, other builds, and what an address asks of it."""
