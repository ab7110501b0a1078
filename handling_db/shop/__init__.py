"""What a shop has for one lift and move, its fixtures, pallets and hands."""
