"""How a load hangs: pose, legs, stability, doubt, trial lift, letting go."""
