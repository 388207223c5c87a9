"""Labels read back: the envelope by our own reader, the symbol by a barcode reader, the PNG by another."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from kept import paper_sample as sample
from rackwright.papers.labels import (
    IDENTIFIERS,
    Label,
    LabelStock,
    _modules,
    envelope,
    label_png,
    read_envelope,
    set_labels,
)

HEAD = sample.head("Labels", "L-1")
WORDS = st.text(st.characters(min_codepoint=0x20, max_codepoint=0x7E), max_size=20)


@given(st.builds(Label, st.just("PIECE"), WORDS.filter(bool), WORDS, WORDS, WORDS, WORDS, WORDS, WORDS))
def test_what_goes_into_an_envelope_comes_out(label: Label) -> None:
    wanted = {name: getattr(label, name) for name in IDENTIFIERS.values() if getattr(label, name)}
    assert read_envelope(envelope(label)) == wanted


@settings(max_examples=25, deadline=None)
@given(WORDS.filter(bool), WORDS)
def test_the_symbol_is_read_byte_for_byte_as_iso_15434(id_: str, heat: str) -> None:
    text = envelope(Label("BAR", id_, heat, "m", "1 in"))
    dark = np.pad(np.array(_modules(text)), 2)
    picture = np.kron(np.where(dark, 0, 255).astype(np.uint8), np.ones((4, 4), np.uint8))
    [code] = zxingcpp.read_barcodes(picture)
    assert code.bytes == text.encode("ascii")
    assert code.content_type == zxingcpp.ContentType.ISO15434
    assert code.format == zxingcpp.BarcodeFormat.DataMatrix


def test_envelope_follows_the_standards_frame() -> None:
    label = Label("PIECE", "P-7", "H1", "m", "1 in", "N-1", "SN", "J")
    assert envelope(label) == "[)>\x1e06\x1dSP-7\x1d1TH1\x1d1PN-1\x1d33SSN\x1dWJ\x1e\x04"


@pytest.mark.parametrize("bad", ["H1\x1d1P", "Hé", "H\n"])
def test_an_id_that_scanners_would_disagree_about_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="heat"):
        envelope(Label("BAR", "B-1", bad, "m", "1 in"))


@pytest.mark.parametrize("text", ["", "B-1", "[)>\x1e05\x1d0112345\x1e\x04", "[)>\x1e06\x1dSP-7"])
def test_other_texts_are_not_taken_for_a_label(text: str) -> None:
    with pytest.raises(ValueError, match="envelope"):
        read_envelope(text)


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("n", [0, 13, 14])
def test_png_is_one_bit_of_the_printers_dots_and_reads_back(n: int, dpi: int) -> None:
    label = sample.labels()[n]
    with Image.open(io.BytesIO(label_png(label, HEAD, dpi=dpi))) as picture:
        assert picture.mode == "1"
        assert picture.size == (4 * dpi, round(4 / 3 * dpi))
        assert round(picture.info["dpi"][0]) == dpi
        [code] = zxingcpp.read_barcodes(np.array(picture.convert("L")))
    assert code.bytes.decode() == envelope(label)


def test_modules_are_whole_dots() -> None:
    """Every run of dark or light dots through the symbol is a multiple of one module."""
    label, dpi = sample.labels()[0], 300
    with Image.open(io.BytesIO(label_png(label, HEAD, dpi=dpi))) as picture:
        dots = ~np.array(picture)
    symbol = dots[:, : round(4 / 3 * dpi)]
    ys, xs = np.nonzero(symbol)
    inside = symbol[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
    side = len(_modules(envelope(label)))
    assert inside.shape[0] == inside.shape[1]
    assert inside.shape[0] % side == 0
    module = inside.shape[0] // side
    assert module * 25.4 / dpi >= 0.38
    assert (inside[::module, ::module] == np.array(_modules(envelope(label)))).all()
    assert (np.kron(inside[::module, ::module], np.ones((module, module), bool)) == inside).all()


def test_every_label_of_a_sheet_reads_back_from_the_page() -> None:
    labels = sample.labels()
    found: list[str] = []
    with pypdfium2.PdfDocument(set_labels(labels, HEAD, skip=3)) as document:
        assert len(document) == 2  # 3 places left free + 15 labels on sheets of 14
        for page in document:
            picture = page.render(scale=300 / 72).to_pil().convert("L")
            found += [code.bytes.decode() for code in zxingcpp.read_barcodes(np.array(picture))]
    assert sorted(found) == sorted(map(envelope, labels))


def test_a_symbol_too_large_for_its_label_is_refused() -> None:
    small = LabelStock(width=2.0, height=0.5)
    with pytest.raises(ValueError, match="does not fit"):
        set_labels((replace(sample.labels()[0], part="x" * 80),), HEAD, small)
