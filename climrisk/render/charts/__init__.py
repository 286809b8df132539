"""What charts share.

Blue is cold, orange is a limit, dark is more; shapes and direct labels say the same,
so that no color is needed. Every number drawn stands in the result.
"""

from climrisk.render.charts.style import CONFIG, png
from climrisk.render.charts.svg import svg

__all__ = ["CONFIG", "png", "svg"]
