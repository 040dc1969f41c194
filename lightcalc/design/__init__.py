"""What the maker draws: the piece, its runs and supplies, and how it is used."""
