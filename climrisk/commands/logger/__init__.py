"""``climrisk logger``: what a logger's file is."""
