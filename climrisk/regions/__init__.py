"""The same question for every cell of a map."""
