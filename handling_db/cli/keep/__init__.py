"""Commands that write, check and build records."""
