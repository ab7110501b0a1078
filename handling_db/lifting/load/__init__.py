"""What a lift group weighs: pieces, fluid that is still inside, packing, and where they lie."""
