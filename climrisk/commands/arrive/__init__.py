"""``climrisk arrive``: when a new plant may go out."""
