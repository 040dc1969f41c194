"""The piece in its room: what each eye sees of it, and what it shines on."""
