"""Commands about lifts, joints and turns."""
