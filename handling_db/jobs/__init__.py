"""One unit in hand: a whole job in steps, what comes off first."""
