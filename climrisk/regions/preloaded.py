"""Loads what every worker needs, in the process that workers are forked from."""

from __future__ import annotations

import contextlib

from climrisk.regions import blocks, compiled

with contextlib.suppress(ImportError):
    from numcodecs import blosc, gzip, zlib, zstd

    STORES = (blosc, gzip, zlib, zstd)

LOADED = (blocks,)
compiled.load_for_maps()
