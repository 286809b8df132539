"""Plants and their limits, each with its sources."""
