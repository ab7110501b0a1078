"""Where a figure comes from, and what becomes doubtful with it."""
