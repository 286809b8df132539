"""Loads what every worker needs, in the process that workers are forked from."""

from __future__ import annotations

import contextlib

from climrisk.exposure import sweep
from climrisk.pot import variants
from climrisk.regions import blocks

with contextlib.suppress(ImportError):
    from numcodecs import blosc, gzip, zlib, zstd

    STORES = (blosc, gzip, zlib, zstd)

LOADED = (blocks, sweep)
variants.load(variants.MAPS)
