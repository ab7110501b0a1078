"""Independent computations on random cases; `python -m tests.oracles --hours 1` runs them for long.

Every module here that has a `run` is an oracle:

    def run(rng: numpy.random.Generator, seconds: float) -> Count

It makes random cases until the time is over (at least one), asks the program and an independent computation
(numpy, scipy, mujoco, HiGHS; never the program's own calculation), and counts what it finds. A case and its
figures come from `rng` alone, so that a seed gives them again.
"""
