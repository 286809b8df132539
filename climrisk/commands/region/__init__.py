"""``climrisk region``: maps of a grid."""
