"""What of a lift can be drawn: only what has a recorded place and direction."""
