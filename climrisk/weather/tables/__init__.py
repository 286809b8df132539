"""Loggers and other tables of readings."""
