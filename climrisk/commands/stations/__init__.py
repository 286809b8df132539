"""``climrisk stations``: stations near a place, and the archive."""
