"""What holds and what carries: pieces, seams, bodies, states, and what steps do to them."""
