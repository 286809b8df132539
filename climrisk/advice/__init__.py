"""Month states, dates, verdict and cautions."""
