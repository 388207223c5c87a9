"""A test bend booked from a heat: what it gives, whom it is refused, what it rewrites."""

from __future__ import annotations

from math import pi, radians, tan

import pytest

import small_shop as small
from rackwright.plan import Plan
from rackwright.record import Record
from rackwright.shop import read_bend_test
from rackwright.trouble import Refusal, Stopped
from rackwright.work.metal.sawing import CutPiece, make_from, piece_id
from rackwright.work.stations.bending import record_test_bend, with_test_bends
from rackwright.work.stations.making import Step, step
from stories.conftest import Begin

RING = next(one for one in small.items() if one.stock == "ASTM A240 304")


def bend(id: str = "TB-21", heat: str = RING.heat, flat: str = "4.0150 in", **more: str) -> bytes:
    """Legs of 2.3810 and 1.7598 in at 45 degrees as the invented shop's, of another flat."""
    values = {
        "id": id, "stock": "ASTM A240 304", "heat": heat, "thickness": "0.250 in", "punch_radius": "0.375 in",
        "die_opening": "1.75 in", "bend_line": "across the grain", "flat": flat, "leg_a": "2.3810 in",
        "leg_b": "1.7598 in", "angle": "45.0 deg", "inside_radius": "0.375 in", "loaded_angle": "46.5 deg",
        "document": "log M-15, an invented sheet",
    } | more  # fmt: skip
    lines = "\n".join(f'{name} = "{value}"' for name, value in values.items())
    return f'format = "rackwright/test-bend/1"\n\n[[bend_test]]\n{lines}\n'.encode()


def cut_rings(record: Record, serial: str) -> list[str]:
    machinist = small.station(record, "machinist")
    rings = [p for p in small.design().pieces.made if p.kind == "ring"]
    make_from(
        machinist,
        RING.id,
        small.ORDER,
        small.revision(),
        [CutPiece(piece_id(serial, p.id), serial, 0) for p in rings],
    )
    return sorted(piece_id(serial, p.id) for p in rings)


def booked(
    record: Record, data: bytes, who: str = "machinist", gauge: str = "PR-1", cracked: bool = False
) -> object:
    return record_test_bend(small.station(record, who), "TB.toml", data, gauge, cracked)


def plan(record: Record) -> Plan:
    shop = with_test_bends(record, small.state(record), small.shop())
    return Plan(((small.design(), 2),), None, shop)


def test_it_rewrites_the_blanks_and_names_what_was_cut_before(begin: Begin) -> None:
    """K = ((F - a - b + 2 (R + t) tan(A/2))/A - R)/t with the new flat; each blank's flat length follows from it."""
    record = begin("ordered").record
    before = plan(record).blanks.made[0]
    cut = cut_rings(record, "SN-1")
    step(small.station(record, "machinist"), Step("bend"), cut[:2], ["SN-1"])
    booked(record, bend())
    made = small.state(record).test_bends["TB-21"]
    A, R, t = radians(45), 0.375, 0.25
    K = ((4.0150 - 2.3810 - 1.7598 + 2 * (R + t) * tan(A / 2)) / A - R) / t
    assert float(made.K) == pytest.approx(K, abs=5e-5)
    assert list(made.cut) == cut[2:], "two are bent already"
    after = plan(record).blanks.made[0]
    assert after.neutral.test == "TB-21"
    assert pytest.approx(K, rel=1e-9) == after.neutral.K
    # a bend lengthens the flat by its allowance A (R + K t): nothing else of the ring has changed
    longer = (after.length - before.length) / 25_400_000
    assert longer == pytest.approx(A * t * (K - before.neutral.K), abs=2e-6)
    assert plan(record).brake[0].loaded == pytest.approx(46.5 * pi / 180)


def test_a_cracked_one_is_kept_and_gives_nothing(begin: Begin) -> None:
    record = begin("ordered").record
    before = plan(record).blanks.made[0].neutral
    booked(record, bend(), cracked=True)
    assert small.state(record).test_bends["TB-21"].cracked
    assert plan(record).blanks.made[0].neutral == before


@pytest.mark.parametrize(
    ("data", "who", "gauge", "code"),
    [
        (bend(), "assembler", "PR-1", "RW516"),
        (bend(), "machinist", "CA-11", "RW512"),
        (bend(heat="M9999"), "machinist", "PR-1", "RW503"),
        (bend(stock="AMS-WW-T-700/6"), "machinist", "PR-1", "RW503"),
    ],
    ids=[
        "another's work",
        "a gauge out of calibration",
        "a heat that is not here",
        "another metal of that heat",
    ],
)
def test_it_is_refused(begin: Begin, data: bytes, who: str, gauge: str, code: str) -> None:
    record = begin("ordered").record
    with pytest.raises(Stopped) as stopped:
        booked(record, data, who, gauge)
    (why,) = stopped.value.troubles
    assert isinstance(why, Refusal)
    assert why.code == code
    assert not small.state(record).test_bends


def test_a_number_is_given_once(begin: Begin) -> None:
    record = begin("ordered").record
    booked(record, bend())
    with pytest.raises(Stopped, match="TB-21 is recorded already"):
        booked(record, bend(flat="4.0100 in"))
    booked(record, bend("TB-22", flat="4.0100 in"))
    assert plan(record).blanks.made[0].neutral.test == "TB-22", "the newest counts"


@pytest.mark.parametrize(
    ("data", "code", "field", "found"),
    [
        (bend(flat="4.4 in"), "RW106", "bend_test[0].flat", "K = "),
        (bend(flat="4.0"), "RW104", "bend_test[0].flat", "has no unit"),
        (bend(loaded_angle="44 deg"), "RW106", "bend_test[0].loaded_angle", "less than the free angle"),
        (bend() + bend("TB-22").partition(b"\n\n")[2], "RW106", "bend_test", "2 test bends"),
        (b"format = 'rackwright/shop/1'\n", "RW110", "format", ""),
    ],
    ids=["no neutral axis", "no unit", "springs the wrong way", "two in a file", "another file"],
)
def test_a_wrong_file_says_where(data: bytes, code: str, field: str, found: str) -> None:
    read, faults = read_bend_test(data, "TB.toml")
    assert read is None
    (fault,) = faults
    assert fault.code == code
    assert fault.where.field == field
    assert found in fault.found
