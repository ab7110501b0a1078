"""What leaves the ground: pieces, ties, points, gear, hook, legs, turns, in figures and words."""
