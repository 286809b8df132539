"""The compiled loop over hours, and everything only it needs."""
