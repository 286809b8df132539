"""Arrays of Zarr read without the library: the same numbers, or a refusal."""

from __future__ import annotations

import numpy as np
import pytest
import zarr
from zarr.codecs import BloscCodec, GzipCodec, ZstdCodec

from climrisk.weather.grids.zarr_chunks import Room, zarr_chunks

SHAPE, CHUNK = (50, 7, 11), (24, 4, 3)
CODECS_3 = {
    "blosc": BloscCodec(cname="lz4", typesize=4),
    "zstd": ZstdCodec(),
    "gzip": GzipCodec(),
    "plain": None,
}


def values(dtype):
    rng = np.random.default_rng(4)
    return (100 * rng.normal(size=SHAPE)).astype(dtype)


def stored(folder, dtype="float32", **more):
    """Write an array of which one chunk was never filled."""
    root = zarr.open_group(folder, mode="w", zarr_format=more.pop("zarr_format", 3))
    fill = more.pop("fill_value", 7)
    array = root.create_array(
        "x", shape=SHAPE, chunks=CHUNK, dtype=dtype, fill_value=fill, **more
    )
    whole = values(dtype)
    array[:24], array[24:, :4] = whole[:24], whole[24:, :4]
    return array


def boxes():
    yield tuple(slice(0, n) for n in SHAPE)
    yield (slice(24, 48), slice(0, 4), slice(3, 6))  # a whole chunk
    rng = np.random.default_rng(8)
    for _ in range(40):
        ends = [sorted(rng.choice(n + 1, 2, replace=False)) for n in SHAPE]
        yield tuple(slice(int(a), int(b)) for a, b in ends)


def check(folder, array):
    ours, room = zarr_chunks(str(folder), "x"), Room()
    assert ours is not None
    for box in boxes():
        np.testing.assert_array_equal(ours.read(box, room), array[box])


@pytest.mark.parametrize("codec", CODECS_3)
def test_version_3(tmp_path, codec):
    check(tmp_path, stored(tmp_path, compressors=CODECS_3[codec]))


@pytest.mark.parametrize("codec", ["blosc", "zstd", "zlib", None])
@pytest.mark.parametrize("dtype", ["int16", "float64"])
def test_version_2(tmp_path, codec, dtype):
    import numcodecs

    made = None if codec is None else numcodecs.get_codec({"id": codec})
    array = stored(tmp_path, dtype, zarr_format=2, compressors=made)
    check(tmp_path, array)


def test_slashes_in_version_2_and_dots_in_version_3(tmp_path):
    keys = {"name": "v2", "separator": "."}
    check(tmp_path / "a", stored(tmp_path / "a", chunk_key_encoding=keys))
    keys = {"name": "v2", "separator": "/"}
    check(
        tmp_path / "b",
        stored(tmp_path / "b", zarr_format=2, chunk_key_encoding=keys),
    )


@pytest.mark.parametrize(
    "more",
    [
        {"shards": (48, 8, 12)},
        {"zarr_format": 2, "order": "F"},
        {"dtype": ">f4", "zarr_format": 2},
        {"filters": [zarr.codecs.TransposeCodec(order=(2, 1, 0))]},
    ],
    ids=["shards", "columns first", "the other byte order", "a filter"],
)
def test_unusual_arrays_are_left_to_the_library(tmp_path, more):
    stored(tmp_path, **more)
    assert zarr_chunks(str(tmp_path), "x") is None


@pytest.mark.parametrize("codec", CODECS_3)
def test_a_chunk_that_is_cut_or_longer_is_refused(tmp_path, codec):
    stored(tmp_path, compressors=CODECS_3[codec])
    file = tmp_path / "x/c/0/0/0"
    whole = file.read_bytes()
    read = zarr_chunks(str(tmp_path), "x").read
    box = (slice(0, 24), slice(0, 4), slice(0, 3))
    for damaged in (whole[: len(whole) // 2], b"", whole[:6], whole[:-1]):
        file.write_bytes(damaged)
        with pytest.raises((ValueError, RuntimeError, OSError, EOFError)):
            read(box, Room())


def test_an_array_lives_until_the_next_of_its_name():
    room = Room()
    first = room.array("a", (4, 5), "float32")
    other = room.array("b", (4, 5), "float32")
    again = room.array("a", (2, 3), "int16")
    assert np.shares_memory(first, again)
    assert not np.shares_memory(first, other)
    assert room.array("a", (400, 5), "float32").shape == (400, 5)
