"""``climrisk init``: a new home file."""
