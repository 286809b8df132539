"""Width of the vectors that compiled loops work in."""

from __future__ import annotations

from typing import Any

from llvmlite import binding  # type: ignore[import-untyped]
from numba import config


def use_wide_vectors() -> None:
    """Let loops work in vectors of 512 bits where that pays.

    The compiler's own default is half as wide, for processors that slowed down under
    wide vectors; those with the later instruction sets do not. Called before the first
    function is compiled; what a user has set for the compiler stands.
    """
    # The compiler's settings are made up as its module loads, so that types know none.
    settings: Any = config
    if settings.CPU_NAME or settings.CPU_FEATURES:
        return
    features = binding.get_host_cpu_features()
    if features.get("avx512vbmi2"):
        settings.CPU_FEATURES = features.flatten() + ",-prefer-256-bit"
