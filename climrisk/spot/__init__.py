"""From the weather of a station to the climate of a spot."""
