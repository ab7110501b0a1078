"""Run by name, never collected: they print ratios and do not pass or fail."""
