"""The one place that strings the rooms together."""
