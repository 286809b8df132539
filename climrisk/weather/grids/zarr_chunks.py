"""Chunks of a Zarr array in a folder, read and decoded by the thread that wants them.

The Zarr library hands every chunk to an event loop that all threads share, so that many
threads wait for one. Arrays of the usual kind (plain numbers, one usual codec) are read
here instead: a file is read and decoded while the interpreter's lock is free. For any
other array the library does it.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

#: Codecs by the names that both formats of Zarr give them, each with its module.
_CODECS = {"blosc": "Blosc", "zstd": "Zstd", "gzip": "GZip", "zlib": "Zlib"}
#: Where a Blosc frame says how long its content and how long it is itself.
_BLOSC_CONTENT, _BLOSC_FRAME = slice(4, 8), slice(12, 16)


class Room:
    """Arrays of one thread that are filled again and again.

    New memory for each block would be asked of the system, and filled with zeros by it,
    each time.
    """

    def __init__(self) -> None:
        self._held: dict[str, NDArray[np.uint8]] = {}

    def array(self, name: str, shape: tuple[int, ...], dtype: Any) -> NDArray[Any]:
        """Return an array of any content; the last one of that name is lost."""
        size = math.prod(shape) * np.dtype(dtype).itemsize
        held = self._held.get(name)
        if held is None or len(held) < size:
            self._held.pop(name, None)
            held = self._held[name] = np.empty(size, np.uint8)
        out: NDArray[Any] = held[:size].view(dtype).reshape(shape)
        return out


@dataclass(frozen=True)
class ZarrChunks:
    """An array of three dimensions as its files lie in a folder.

    Parameters
    ----------
    folder : str
        Of the array.
    shape, chunk : tuple of int
    dtype : str
        As numpy names it.
    fill : float
        Stands where a file is missing.
    prefix, separator : str
        Of the names of the files.
    codec : str
        One of `_CODECS`, or "" where numbers lie there as they are.
    """

    folder: str
    shape: tuple[int, ...]
    chunk: tuple[int, ...]
    dtype: str
    fill: float
    prefix: str
    separator: str
    codec: str

    def read(self, box: tuple[slice, ...], room: Room) -> NDArray[Any]:
        """Return the numbers of a box as they are stored; they live in `room`.

        Parameters
        ----------
        box : tuple of slice
            Along each dimension, with both ends and no step.
        room : Room

        Raises
        ------
        OSError, ValueError, RuntimeError
            A file that cannot be read or decoded.
        """
        begin = [s.start for s in box]
        stop = [s.stop for s in box]
        shape = tuple(b - a for a, b in zip(begin, stop, strict=True))
        out = room.array(f"{self.folder} numbers", shape, self.dtype)
        reach = [
            range(a // n, -(-b // n))
            for a, b, n in zip(begin, stop, self.chunk, strict=True)
        ]
        whole = all(len(r) == 1 for r in reach) and shape == self.chunk
        if whole:
            # Most blocks are cut as the store is: decoded where it is wanted.
            self._decode(tuple(r[0] for r in reach), out)
            return out
        scratch = room.array("scratch", self.chunk, self.dtype)
        for at in product(*reach):
            self._decode(at, scratch)
            source, target = [], []
            for i, n, a, b in zip(at, self.chunk, begin, stop, strict=True):
                low, high = max(a, i * n), min(b, i * n + n)
                source.append(slice(low - i * n, high - i * n))
                target.append(slice(low - a, high - a))
            out[tuple(target)] = scratch[tuple(source)]
        return out

    def _decode(self, at: tuple[int, ...], out: NDArray[Any]) -> None:
        """Fill an array of a whole chunk."""
        name = self.separator.join([*([self.prefix] if self.prefix else []),
                                    *map(str, at)])  # fmt: skip
        try:
            data = (Path(self.folder) / name).read_bytes()
        except FileNotFoundError:
            out[...] = self.fill
            return
        codec = _decoder(self.codec)
        flat = out.reshape(-1).view(np.uint8)
        if self.codec == "blosc":
            length, frame = (
                int.from_bytes(data[at], "little")
                for at in (_BLOSC_CONTENT, _BLOSC_FRAME)
            )
            # The library takes the frame at its word, and reads on behind the end of
            # one that was cut.
            if frame != len(data) or length != flat.size:
                raise ValueError(
                    f"{name} holds {length} bytes in {frame}, not {flat.size} in "
                    f"{len(data)}"
                )
            codec.decode(data, out=flat)
            return
        raw = data if codec is None else codec.decode(data)
        if len(raw) != flat.size:
            raise ValueError(f"{name} holds {len(raw)} bytes, not {flat.size}")
        flat[:] = np.frombuffer(raw, np.uint8)


@lru_cache(maxsize=8)
def _decoder(name: str) -> Any:
    from importlib import import_module

    if not name:
        return None
    return getattr(import_module(f"numcodecs.{name}"), _CODECS[name])()


def zarr_chunks(store: str, name: str) -> ZarrChunks | None:
    """Return an array of a store as its files lie there; None for an unusual one.

    Parameters
    ----------
    store : str
        A folder.
    name : str
        Of the array.
    """
    import zarr

    # What is odd about the array is said, if it matters, by who reads it.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        array = zarr.open_array(Path(store) / name, mode="r")
    made = _version_2(array) if array.metadata.zarr_format == 2 else _version_3(array)
    plain = array.dtype.isnative and array.dtype.kind in "fiu"
    if made is None or not plain or array.fill_value is None or array.ndim != 3:
        return None
    folder = str(Path(store) / name)
    dtype, fill = array.dtype.str, array.fill_value.item()
    return ZarrChunks(folder, array.shape, array.chunks, dtype, fill, *made)


def _version_2(array: Any) -> tuple[str, str, str] | None:
    """Return prefix, separator and codec of an array, or None for an unusual one."""
    said = array.metadata
    codec = "" if said.compressor is None else said.compressor.codec_id
    if said.filters or said.order != "C" or codec not in ("", *_CODECS):
        return None
    return "", said.dimension_separator, codec


def _version_3(array: Any) -> tuple[str, str, str] | None:
    """Return prefix, separator and codec of an array, or None for an unusual one."""
    said = array.metadata.to_dict()
    keys, grid = said["chunk_key_encoding"], said["chunk_grid"]
    first, *others = said["codecs"]
    order = first.get("configuration", {}).get("endian")
    if first["name"] != "bytes" or order != "little" or len(others) > 1:
        return None
    codec = others[0]["name"] if others else ""
    if codec not in ("", *_CODECS) or grid["name"] != "regular":
        return None
    if said.get("storage_transformers"):
        return None
    prefix = {"default": "c", "v2": ""}.get(keys["name"])
    if prefix is None:
        return None
    return prefix, keys["configuration"]["separator"], codec
