"""Rules about lifts, joints, gear, moves, notes and planned jobs."""
