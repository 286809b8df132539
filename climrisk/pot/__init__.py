"""Root-zone temperature from the heat balance of a pot."""
