"""``python -m climrisk``."""

from climrisk.cli.main import run

run()
