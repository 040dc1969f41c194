"""From a design and its parts to results and findings."""
