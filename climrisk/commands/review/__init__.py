"""``climrisk review``: the past year against a logger."""
