"""Forecasts and cold events typed as words."""
