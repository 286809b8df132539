"""climrisk: what would this place do to this plant, in this pot, in this spot?"""

__version__ = "0.1.0"
