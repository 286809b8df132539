"""``climrisk event``: after a cold event."""
