"""``climrisk tonight``: carry in, cover or leave."""
