"""``climrisk exposure``: hours beyond thresholds, no plant."""
