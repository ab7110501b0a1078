"""Where it goes: forks, floors, ways, standing, in figures and words."""
