"""Commands about moving, standing and shops."""
