"""``climrisk assess``: the verdict before buying."""
