"""One result, many faces."""
