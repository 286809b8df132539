"""One package per command: it runs the layers below and presents the result."""
