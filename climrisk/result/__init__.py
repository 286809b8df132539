"""Frozen results and their JSON schema."""
