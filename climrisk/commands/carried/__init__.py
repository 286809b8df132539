"""``climrisk carried``: note what was carried in or out."""
