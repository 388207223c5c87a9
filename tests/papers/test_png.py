"""Our PNG reader and writer beside Pillow's."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from PIL import Image

from rackwright.papers.png import read_png, to_one_bit, write_grey

PICTURES = st.sampled_from([3, 4]).flatmap(
    lambda channels: arrays(
        np.uint8, array_shapes(min_dims=2, max_dims=2, max_side=20).map(lambda s: (*s, channels))
    )
)


@settings(max_examples=60, deadline=None)
@given(PICTURES, st.integers(0, 9))
def test_reads_what_pillow_writes(dots: np.ndarray, level: int) -> None:
    out = io.BytesIO()
    Image.fromarray(dots).save(out, "png", compress_level=level)
    assert (read_png(out.getvalue()) == dots).all()


def test_all_five_filters_are_undone() -> None:
    """A smooth picture makes Pillow use several filters; each is named in the first byte of a row."""
    y, x = np.mgrid[0:64, 0:48]
    dots = np.stack([(x * y) % 251, (x + 2 * y) % 256, (x * x) // 9 % 256], axis=2).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(dots).save(out, "png")
    assert (read_png(out.getvalue()) == dots).all()


@settings(max_examples=60, deadline=None)
@given(arrays(np.bool_, array_shapes(min_dims=2, max_dims=2, max_side=30)))
def test_pillow_reads_what_we_write(white: np.ndarray) -> None:
    with Image.open(io.BytesIO(write_grey(white, 300))) as picture:
        assert picture.mode == "1"
        assert (np.array(picture) == white).all()


def test_transparent_is_white_and_the_split_is_at_half_grey() -> None:
    dots = np.array([[[0, 0, 0, 0], [0, 0, 0, 255], [127, 127, 127, 255], [128, 128, 128, 255]]], np.uint8)
    out = io.BytesIO()
    Image.fromarray(dots).save(out, "png")
    with Image.open(io.BytesIO(to_one_bit(out.getvalue(), 203))) as picture:
        assert np.array(picture).tolist() == [[True, False, False, True]]


@pytest.mark.parametrize("bad", [b"", b"GIF89a"])
def test_other_bytes_are_refused(bad: bytes) -> None:
    with pytest.raises(ValueError, match="PNG"):
        read_png(bad)
