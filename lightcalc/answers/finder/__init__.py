"""Search a design and a catalogue for the builds that none beats in every respect."""
