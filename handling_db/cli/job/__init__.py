"""Commands about a whole job: its steps, what comes off first."""
