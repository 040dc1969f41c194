"""Physics as plain functions over floats and numpy arrays in SI units."""
