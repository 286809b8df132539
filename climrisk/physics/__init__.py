"""Physics on plain arrays; first axis time, last axis case."""
