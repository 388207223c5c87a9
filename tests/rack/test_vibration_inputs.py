"""Vibration tables that are broken, each one located fault; and what they leave open."""

from __future__ import annotations

import pytest

from racks import STANDARD, VARIATION, design_of, faults_of, rack_of, swap, table_of
from rackwright.rack import open_questions
from rackwright.trouble import CODES, PRELIMINARY

SPECTRUM = table_of(STANDARD, "[[vibration.spectrum]]")
VIBRATION = STANDARD[STANDARD.index("[vibration]") : STANDARD.index(SPECTRUM) + len(SPECTRUM)]
FIRST = 'broadband = [{ frequency = "5 Hz", density = 2e-6 }'
ISOLATED = 'isolators = { stiffness = ["16 N/mm", "16 N/mm", "25 N/mm"], damping = 0.1,'
LATER = ("sign_out", "release")

#: name, old, new, code, field, what was found
BROKEN = [
    ("a harmonic of 0 Hz", 'frequency = "500 rpm"', 'frequency = "0 rpm"', "RW106",
     "vibration.harmonic.main rotor 1 per turn.frequency", "0 rpm"),
    ("a harmonic of an hour", 'frequency = "500 rpm"', 'frequency = "0.01 rpm"', "RW106",
     "vibration.harmonic.main rotor 1 per turn.frequency", "out of range"),
    ("a harmonic in seconds", 'frequency = "500 rpm"', 'frequency = "500 s"', "RW104",
     "vibration.harmonic.main rotor 1 per turn.frequency", "not a unit of frequency"),
    ("a spread of twice the frequency", '"500 rpm"\nspread_percent = 1', '"500 rpm"\nspread_percent = 200', "RW106",
     "vibration.harmonic.main rotor 1 per turn.spread_percent", "200 percent"),
    ("no damping", "ratio = 0.03", "ratio = 0", "RW106", "vibration.damping.ratio", "out of range"),
    ("damping in percent", "ratio = 0.03", "ratio = 3", "RW106", "vibration.damping.ratio", "out of range"),
    ("damping that is not a number", "ratio = 0.03", "ratio = nan", "RW106", "vibration.damping.ratio", "nan"),
    ("a separation of less than nothing", "separation = { percent = 8", "separation = { percent = -8", "RW106",
     "vibration.separation.percent", "-8 percent"),
    ("points that do not ascend", FIRST, FIRST.replace("5 Hz", "50 Hz"), "RW106",
     "vibration.spectrum.cabin floor.broadband.1.frequency", "20 Hz follows 50 Hz"),
    ("two points at one frequency", FIRST, FIRST.replace("5 Hz", "20 Hz"), "RW106",
     "vibration.spectrum.cabin floor.broadband.1.frequency", "20 Hz follows 20 Hz"),
    ("a negative density", "density = 2e-6", "density = -2e-6", "RW106",
     "vibration.spectrum.cabin floor.broadband.0.density", "-2e-06 g2/Hz"),
    ("no density", "density = 2e-6", "density = 0", "RW106",
     "vibration.spectrum.cabin floor.broadband.0.density", "0 g2/Hz"),
    ("a density that is not a number", "density = 2e-6", "density = nan", "RW106",
     "vibration.spectrum[0].broadband[0].density", "nan"),
    ("a tone of 1e30 g", "peak = 0.08", "peak = 1e30", "RW106", "vibration.spectrum.cabin floor.tone.0.peak", "1e+30"),
    ("a tone without frequency", 'frequency = "2000 rpm", peak', "peak", "RW101",
     "vibration.spectrum.cabin floor.tone.0.frequency", "nothing is given"),
    ("an axis of the rack", 'axes = ["forward"', 'axes = ["x"', "RW103",
     "vibration.spectrum.cabin floor.axes.0", "'x'"),
    ("no axis", 'axes = ["forward", "left", "up"]', "axes = []", "RW101",
     "vibration.spectrum.cabin floor.axes", "no axis"),
    ("an axis twice", 'axes = ["forward", "left", "up"]', 'axes = ["up", "up"]', "RW107",
     "vibration.spectrum.cabin floor.axes", "already has the spectrum"),
    ("an unknown field", "ratio = 0.03", "ratio = 0.03, q = 10", "RW102", "vibration.damping.q", "not known here"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "old", "new", "code", "field", "found"), BROKEN, ids=[row[0] for row in BROKEN]
)
def test_a_broken_table_is_one_located_fault(
    name: str, old: str, new: str, code: str, field: str, found: str
) -> None:
    text = swap(STANDARD, (old, new))
    (fault,) = faults_of(text)
    assert (fault.code, fault.where.field) == (code, field)
    assert found in fault.found
    assert fault.do
    assert fault.where.file == "standard.toml"
    assert fault.where.line > 0
    assert text.count("\n", 0, text.index("[vibration]")) < fault.where.line
    assert code in CODES


def test_an_empty_spectrum_and_one_of_a_single_point() -> None:
    lines = [
        line for line in SPECTRUM.splitlines(keepends=True) if not line.startswith(("tone", "broadband"))
    ]
    (fault,) = faults_of(STANDARD.replace(SPECTRUM, "".join(lines)))
    assert (fault.code, fault.found) == ("RW101", "the spectrum is empty")
    one = SPECTRUM[: SPECTRUM.index("broadband")] + 'broadband = [{ frequency = "5 Hz", density = 1e-5 }]\n'
    (fault,) = faults_of(STANDARD.replace(SPECTRUM, one))
    assert (fault.code, fault.where.field) == ("RW101", "vibration.spectrum.cabin floor.broadband")


def test_two_spectra_for_one_axis_and_two_of_one_name() -> None:
    again = SPECTRUM.replace('name = "cabin floor"', 'name = "second"')
    (*_, fault) = faults_of(f"{STANDARD}\n{again}")
    assert (fault.code, fault.where.field) == ("RW107", "vibration.spectrum.second.axes")
    assert "RW107" in {one.code for one in faults_of(f"{STANDARD}\n{SPECTRUM}")}


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        (ISOLATED, ISOLATED.replace("damping = 0.1", "damping = 0"), "damping"),
        (ISOLATED, ISOLATED.replace('"16 N/mm", "16 N/mm"', '"0 N/mm", "16 N/mm"'), "stiffness.0"),
        (ISOLATED, ISOLATED.replace('"25 N/mm"', '"1e-9 N/mm"'), "stiffness.2"),
        (
            ISOLATED,
            ISOLATED.replace('"16 N/mm", "16 N/mm", "25 N/mm"', '"16 N/mm", "25 N/mm"'),
            "stiffness.2",
        ),
        ('sway = ["0.3 in", "0.3 in", "0.3 in"]', 'sway = ["0.3 in", "-0.3 in", "0.3 in"]', "sway.1"),
    ],
    ids=["no damping", "no stiffness", "loose along z", "two stiffnesses", "a negative sway"],
)
def test_isolators_that_hold_nothing(old: str, new: str, field: str) -> None:
    faults = faults_of(STANDARD, swap(VARIATION, (old, new)))
    assert [fault.where.field for fault in faults] == [f"equipment.recorder.isolators.{field}"]
    assert faults[0].where.file == "variation.toml"


def without(*parts: str) -> str:
    text = STANDARD
    for part in parts:
        assert part in text
        text = text.replace(part, "")
    return text


SEPARATION = next(line for line in STANDARD.splitlines(keepends=True) if line.startswith("separation"))
DAMPING = (
    'damping = { ratio = 0.03, document = "INVENTED-VIB-3 rev A, vibration of an invented helicopter" }\n'
)
DOCUMENT = '\ndocument = "INVENTED-VIB-3 rev A, vibration of an invented helicopter"'


@pytest.mark.parametrize(
    ("id", "text"),
    [
        ("vibration", without(VIBRATION)),
        ("vibration.damping", without(DAMPING)),
        ("vibration.spectrum", without(SPECTRUM)),
        ("vibration.spectrum.cabin floor.document", STANDARD.replace(SPECTRUM, SPECTRUM.replace(DOCUMENT, ""))),
        ("vibration.separation", without(SEPARATION)),
    ],
)  # fmt: skip
def test_what_is_not_stated_is_a_question_and_never_stops_computing(id: str, text: str) -> None:
    asked = open_questions(rack_of(text))
    assert [one.id for one in asked] == [id]
    assert asked[0].blocks == LATER
    design = design_of(text)
    assert PRELIMINARY in design.marks
    assert design.vibration.modes
    assert all(one.holds is None for one in design.vibration.apart) or id != "vibration.separation"


def test_isolators_without_sway_or_document_ask_for_them() -> None:
    said = ', allowable_ultimate = "2000 N", document = "INVENTED-MOUNT-2 rev A, data sheet of an invented isolator" }'
    text = swap(VARIATION, (f', sway = ["0.3 in", "0.3 in", "0.3 in"]{said}', " }"))
    path = "equipment.recorder.isolators"
    asked = [f"{path}.{name}" for name in ("allowable_ultimate", "document", "sway")]
    assert [one.id for one in open_questions(rack_of(STANDARD, text))] == asked
    peaks = [one for one in design_of(STANDARD, text).vibration.peaks if one.quantity.kind == "sway"]
    assert peaks
    assert all(one.margin is None and one.why_not == "no sway space with a document" for one in peaks)
