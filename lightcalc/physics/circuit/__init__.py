"""Current and volts from the pack to the last LED: strips, wire, converters, dimming, fuses."""
