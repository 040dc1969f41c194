"""Whether LEDs show as dots on what they light, or through a sheet or resin before them."""
