"""``climrisk demo``: the whole job on the demo home."""
