"""Published tables, each with its source, and the functions that read them."""
