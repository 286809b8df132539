"""``climrisk pots``: pots and media compared."""
