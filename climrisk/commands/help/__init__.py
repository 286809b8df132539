"""``climrisk help TOPIC``: one text for the terminal and the page."""
