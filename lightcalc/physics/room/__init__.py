"""The piece in its room: who sees an LED, where its light falls, the picture an eye has."""
