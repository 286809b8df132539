"""``climrisk spots``: spots ranked for a plant."""
