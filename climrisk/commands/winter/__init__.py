"""``climrisk winter``: the winter exposure of a spot."""
