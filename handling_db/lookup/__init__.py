"""How heavy is it: the look-up, what-if, sweeps, which is heavier, in figures and words."""
