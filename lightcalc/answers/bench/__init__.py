"""What a meter said of the built piece: checked, explained, and learned from."""
