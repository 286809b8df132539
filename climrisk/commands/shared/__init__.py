"""What several commands need."""
