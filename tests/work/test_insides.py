"""The inside of a bar as measured: who may say it, what is no measurement, and what the mill makes of it."""

from __future__ import annotations

import pytest

import small_shop as small
from rackwright.record import Record
from rackwright.trouble import Stopped
from rackwright.work.metal.insides import bars_in_hand, measure_inside
from rackwright.work.metal.sawing import issue
from rackwright.work.people.founding import add_gauge
from stories.conftest import Begin

REV, BAR = "ER-47 rev D", "T-05"
WIDTHS = {"end 1": "1.2490 in", "end 2": "1.2500 in"}


def widths(texts: dict[str, str] | None = None) -> dict[str, int]:
    return {place: small.nm(text) for place, text in (texts or WIDTHS).items()}


def told(
    record: Record, who: str = "stores", gauge: str = "MI-3", corner: str = "0.0625 in", **texts: str
) -> str:
    """The code of the refusal, "" where it is recorded."""
    try:
        measure_inside(
            small.station(record, who), texts.pop("bar", BAR), widths(texts or None), small.nm(corner), gauge
        )
    except Stopped as stopped:
        return " ".join(trouble.code for trouble in stopped.troubles)
    return ""


def test_measured_bars_of_an_order_come_with_their_pieces(begin: Begin) -> None:
    record = begin("made").record
    assert told(record) == ""
    issue(small.station(record, "sawyer"), BAR, "PO-1", REV, ["SN-1/extra"], ["SN-1"])
    bars = {bar.bar: bar for bar in bars_in_hand(small.state(record), "PO-1")}
    one = bars[BAR]
    assert one.pieces == ("SN-1/extra",)
    assert one.widths == pytest.approx((1.249 * 0.0254, 1.25 * 0.0254))
    assert one.corner == pytest.approx(0.0625 * 0.0254)
    assert (one.uncertainty > 0, one.gauge) == (True, "MI-3")
    posts = {piece for bar in bars.values() for piece in bar.pieces if "post" in piece}
    assert posts >= {"SN-1/post.front-left", "SN-1/post.rear-right"}, "also of bars that are cut"
    assert all(not bar.widths for id, bar in bars.items() if id != BAR)
    assert bars_in_hand(small.state(record), "PO-9") == ()


def test_measured_again_the_later_one_holds_and_both_stay(begin: Begin) -> None:
    record = begin("made").record
    assert (told(record), told(record, a="1.2510 in", b="1.2512 in")) == ("", "")
    insides = small.state(record).stock[BAR].insides
    assert [one.widths_nm[0] for one in insides] == [small.nm("1.2490 in"), small.nm("1.2510 in")]


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("RW516", {"who": "sawyer"}),
        ("RW503", {"gauge": "ZZ"}),
        ("RW503", {"bar": "T-99", **WIDTHS}),
        ("RW517", {"bar": "M-1", **WIDTHS}),
        ("RW515", {"end": "1.2490 in"}),
        ("RW515", {"a": "1.2490 in", "b": "1.2500 mm"}),
        ("RW515", {"a": "1.2490 in", "b": "1.5 in"}),
        ("RW515", {"corner": "0 in"}),
        ("RW515", {"corner": "0.7 in"}),
    ],
)
def test_what_is_no_measurement_is_refused_and_recorded(
    begin: Begin, code: str, words: dict[str, str]
) -> None:
    record = begin("made").record
    before = len(record.events())
    assert told(record, **words) == code
    assert record.events()[before].type == "refusal"
    assert all(not stock.insides for stock in small.state(record).stock.values())


def test_a_gauge_without_an_uncertainty_in_length_does_not_measure(begin: Begin) -> None:
    record = begin("made").record
    add_gauge(small.station(record, "lead"), "PR-9", "protractor", "2027-01-01", "0.1 deg")
    assert told(record, gauge="PR-9") == "RW512"
