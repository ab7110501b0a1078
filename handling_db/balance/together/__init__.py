"""All figures of a collection together: one body of evidence, and what it allows each piece to weigh."""
