"""A whole job in steps: bodies, what carries them, how they stand, and what each step needs."""
