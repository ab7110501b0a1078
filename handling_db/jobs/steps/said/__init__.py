"""A planned job in words and as JSON: one table of what is said, rows, side by side."""
