"""``climrisk calendar``: when to move plants in and out."""
