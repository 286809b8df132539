"""``climrisk plants``: the profiles."""
