"""Hours, nights and runs beyond limits."""
