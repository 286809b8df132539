"""Station data: the client, the durable archive, quality checks."""
