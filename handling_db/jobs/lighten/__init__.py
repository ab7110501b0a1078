"""It is too heavy for what is here: which pieces come off first, so that the rest is under a limit."""
