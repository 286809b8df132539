"""``climrisk learn``: calibrate a spot from a logger."""
