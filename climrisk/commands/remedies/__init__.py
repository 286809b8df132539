"""``climrisk remedies``: what helps most."""
