"""Hourly weather: records, typical years, stations, demo."""
