"""Laws of vibration: modes over states, response against a simulation in time, what turns and scales with what."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import cont2discrete, dlsim, lfilter, ss2tf

from racks import STANDARD, VARIATION, built, design_of, item, plain, swap
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.rack.vibration import BroadbandPoint, Harmonic, Separation, Tone
from rackwright.strength import frame as fr
from rackwright.strength.vibration.answer import Peak
from rackwright.strength.vibration.spectrum import Rows, Shaken, density, random_rms, tone_peaks
from rackwright.strength.vibration.states import ALL_ACT, ModeRange, distances
from strategies import frames

few = settings(max_examples=40, deadline=None)
DOCUMENT = "INVENTED-TEST-1 rev A"


def shaken_rack(**more: object) -> dict[str, object]:
    """A plain rack whose floor shakes a little, with one item on isolators."""
    tables = plain(
        shelves={"low": 8, "high": 24},
        items=[item("a", "low", (5, 5), lb=20), item("b", "high", (5, 5), lb=12)],
    )
    tables["equipment"][1]["isolators"] = {
        "stiffness": ["90 lbf/in", "90 lbf/in", "140 lbf/in"], "damping": 0.1, "sway": ["0.3 in"] * 3,
        "document": DOCUMENT,
    }  # fmt: skip
    tables["vibration"] = {
        "damping": {"ratio": 0.03, "document": DOCUMENT},
        "harmonic": [{"name": "rotor", "frequency": "6 Hz", "document": DOCUMENT}],
        "separation": {"percent": 10, "document": DOCUMENT},
        "spectrum": [{
            "name": "floor", "axes": ["forward", "left", "up"], "document": DOCUMENT,
            "tone": [{"frequency": "30 Hz", "peak": 0.02}],
            "broadband": [{"frequency": "5 Hz", "density": 1e-6}, {"frequency": "500 Hz", "density": 1e-5}],
        }],
    } | more  # fmt: skip
    return tables


def peaks(design: Design) -> dict[str, Peak]:
    return {one.id: one for one in design.vibration.peaks}


# --- modes and states ----------------------------------------------------------------------------


def test_effective_masses_of_all_modes_are_the_mass() -> None:
    """A rack that floats has no held freedom: all its modes together move all of it, isolated items too."""
    design = built(shaken_rack())
    model = design.strength.model
    modal = fr.modal_model(model.frame, model.bodies, 0, np.ones(model.frame.one_sided, bool))
    band = sum(one.mass_tolerance or 0.0 for one in design.rack.definition.equipment)
    assert modal.mass == pytest.approx([design.loaded.mass + band] * 3, rel=1e-9)
    assert modal.effective_mass.sum(axis=0) == pytest.approx(modal.mass, rel=1e-6)
    turned = modal.motion.node, modal.motion.body, modal.motion.seat
    assert all(np.isfinite(one).all() for one in turned)


def test_more_stiffness_of_straps_lowers_no_natural_frequency() -> None:
    """Of the same joints, every state lies below the one in which every strap and pad acts."""
    for design in (design_of(STANDARD, VARIATION), built(shaken_rack())):
        states = design.vibration.states
        whole = {state.variant: state.modal.hz for state in states if ALL_ACT in state.names[0]}
        assert len(whole) == 2
        for state in states:
            every = whole[state.variant]
            count = min(len(every), len(state.modal.hz))
            assert np.all(state.modal.hz[:count] <= every[:count] * (1 + 1e-7))


def test_a_range_holds_what_every_state_has() -> None:
    vibration = design_of(STANDARD, VARIATION).vibration
    assert len(vibration.modes) >= 12
    for k, one in enumerate(vibration.modes):
        hz = [float(state.modal.hz[k]) for state in vibration.states]
        assert (one.low_hz, one.high_hz) == (min(hz), max(hz))


def test_without_pretension_the_rack_at_rest_is_loose_and_says_so() -> None:
    """Straps that the rack's own sag slackens hold nothing at rest: it slides at 0 Hz, and no response is computed."""
    tables = shaken_rack()
    for kind in tables["strap_type"]:
        kind["pretension_low"] = "1e-6 lbf"
    vibration = built(tables).vibration
    rest = next(one for one in vibration.states if "at rest, low pretension" in one.names)
    assert rest.idle
    assert rest.modal.loose is not None
    assert "nothing resists it" in rest.modal.loose
    assert vibration.modes[0].low_hz == 0.0
    assert "loose at rest" in vibration.why_no_peaks
    assert not vibration.peaks


def test_rotary_inertia_lowers_frequencies_of_a_rack() -> None:
    model = built(shaken_rack()).strength.model
    acts = np.ones(model.frame.one_sided, bool)
    still = replace(model.bodies, inertia=0 * model.bodies.inertia, spring=0 * model.bodies.spring)
    turning = replace(model.bodies, spring=0 * model.bodies.spring)
    less, more = (fr.modes(model.frame, 12, acts, bodies=one).hz[0] for one in (turning, still))
    assert np.all(less <= more * (1 + 1e-9))
    assert np.any(less < more * 0.999)
    assert fr.modes(model.frame, 12, acts).hz[0] == pytest.approx(more, rel=1e-9)


def test_very_stiff_isolators_are_none() -> None:
    model = built(shaken_rack()).strength.model
    acts = np.ones(model.frame.one_sided, bool)
    hard = replace(model.bodies, spring=1e6 * model.bodies.spring)
    rigid = replace(model.bodies, spring=0 * model.bodies.spring)
    a, b = (fr.modes(model.frame, 8, acts, bodies=one).hz[0] for one in (hard, rigid))
    assert a == pytest.approx(b, rel=1e-4)


@few
@given(frames())
def test_modes_are_orthogonal_and_energies_shares(frame):
    modal = fr.modal_model(frame, fr.Bodies.none(), 0, np.zeros(frame.one_sided, bool))
    if modal.static is None:
        return
    sums = modal.effective_mass.sum(axis=0)
    assert np.all(sums <= modal.mass * (1 + 1e-7))
    # what a floor's push does statically is the sum of what it does to every mode
    assert modal.static.node == pytest.approx(
        np.einsum("nd,n,nvf->dvf", modal.participation, 1 / (2 * np.pi * modal.hz) ** 2, modal.motion.node),
        rel=1e-5, abs=1e-6 * np.abs(modal.static.node).max(),
    )  # fmt: skip


# --- harmonics -----------------------------------------------------------------------------------


def mode(low: float, high: float, share: float = 1.0) -> ModeRange:
    return ModeRange(low, high, "", np.array([share, 0, 0]))


@pytest.mark.parametrize(
    ("hz", "spread", "apart", "near"),
    [(20.0, None, 0.25, 25.0), (30.0, None, 0.0, 30.0), (50.0, None, 0.2, 40.0), (50.0, 10, 1 / 9, 40.0),
     (20.0, 10, 3 / 22, 25.0), (44.0, 10, 0.0, 39.6)],
)  # fmt: skip
def test_distance_from_a_harmonic(hz: float, spread: float | None, apart: float, near: float) -> None:
    """One mode from 25 to 40 Hz; by hand, over the near edge of the harmonic's own range."""
    harmonic = Harmonic(name="h", frequency=hz, spread_percent=spread)
    (found,) = distances([mode(25, 40)], [harmonic], Separation(percent=15, document="d"))
    assert found.apart == pytest.approx(apart, abs=1e-12)
    assert found.mode_hz == pytest.approx(near)
    assert found.holds == (apart >= 0.15)


def test_without_a_requirement_the_distance_is_shown_and_not_judged() -> None:
    (found,) = distances([mode(25, 40)], [Harmonic(name="h", frequency=30.0)], None)
    assert (found.apart, found.holds, found.required) == (0.0, None, None)


def test_modes_that_a_document_lets_pass_do_not_count() -> None:
    need = Separation(percent=10, document="d", effective_mass_percent=5)
    modes = [mode(25, 40, 0.04), mode(60, 70, 0.2)]
    (found,) = distances(modes, [Harmonic(name="h", frequency=30.0)], need)
    assert (found.mode, found.holds) == (2, True)
    assert found.apart == pytest.approx(1.0)


# --- response ------------------------------------------------------------------------------------


@few
@given(
    hz=st.floats(5, 40), zeta=st.floats(0.02, 0.2), f=st.floats(3, 60), peak=st.floats(0.01, 2.0),
)  # fmt: skip
def test_a_sine_in_time_reaches_the_peak_of_the_formula(
    hz: float, zeta: float, f: float, peak: float
) -> None:
    """z̈ + 2ζωż + ω²z = -a, stepped in time by scipy until it is steady: largest acceleration and stretch."""
    w = 2 * np.pi * hz
    a = np.array([[0, 1], [-w * w, -2 * zeta * w]])
    step = 1 / (200 * max(f, hz))
    read = np.array([[1, 0], [-w * w, -2 * zeta * w]])
    discrete = cont2discrete((a, np.array([[0], [-1.0]]), read, np.zeros((2, 1))), step, method="foh")
    t = np.arange(0, 9 / (zeta * w) + 4 / f, step)
    _, out, _ = dlsim(discrete, peak * np.sin(2 * np.pi * f * t))
    steady = np.abs(out[t > t[-1] - 2 / f]).max(axis=0)
    shaken = Shaken(np.array([hz]), np.array([zeta]), np.array([1.0]))
    rows = Rows(np.ones((1, 2)), np.zeros(2), np.array([0.0, 1.0]), np.array([False, True]))
    ours = tone_peaks(shaken, rows, (Tone(frequency=f, peak=peak),))[0]
    assert ours == pytest.approx(steady, rel=0.02)  # what is left of the start, e^-9, and the step


@settings(max_examples=6, deadline=None)
@given(hz=st.floats(10, 40), zeta=st.floats(0.03, 0.1), seed=st.integers(0, 10**6))
def test_noise_in_time_has_the_rms_of_the_integral(hz: float, zeta: float, seed: int) -> None:
    """Ten minutes of band-limited noise of 0.01 g²/Hz up to 200 Hz through the same freedom, stepped by scipy.

    The variance of an rms from n independent cycles of bandwidth πζf over T is about 1/(2 π ζ f T) of it twice over:
    five such standard deviations are allowed.
    """
    rate, length = 2000.0, 600.0
    count = int(rate * length)
    frequency = np.fft.rfftfreq(count, 1 / rate)
    level = np.where((frequency >= 2) & (frequency <= 200), 0.01, 0.0)
    phase = np.random.default_rng(seed).uniform(0, 2 * np.pi, len(frequency))
    noise = np.fft.irfft(np.sqrt(level * count * rate / 2) * np.exp(1j * phase), count)
    assert noise.std() == pytest.approx(np.sqrt(0.01 * 198), rel=1e-3)
    w = 2 * np.pi * hz
    a = np.array([[0, 1], [-w * w, -2 * zeta * w]])
    discrete = cont2discrete((a, np.array([[0], [-1.0]]), np.array([[-w * w, -2 * zeta * w]]), np.zeros((1, 1))),
                             1 / rate, method="foh")  # fmt: skip
    above, below = ss2tf(*discrete[:4])
    out = lfilter(above[0], below, noise)
    shaken = Shaken(np.array([hz]), np.array([zeta]), np.array([1.0]))
    rows = Rows(np.ones((1, 1)), np.zeros(1), np.ones(1), np.array([True]))
    spectrum = (BroadbandPoint(frequency=2.0, density=0.01), BroadbandPoint(frequency=200.0, density=0.01))
    ours = float(random_rms(shaken, rows, spectrum)[0])
    allowed = 5 / np.sqrt(4 * np.pi * zeta * hz * length) + 0.005
    assert float(out[int(20 * rate) :].std()) == pytest.approx(ours, rel=allowed)


@few
@given(
    st.lists(
        st.tuples(st.floats(1, 900), st.floats(1e-6, 1)),
        min_size=2,
        max_size=6,
        unique_by=lambda p: round(p[0], 2),
    )
)
def test_a_spectrum_is_straight_between_its_points_and_nothing_beyond(
    pairs: list[tuple[float, float]],
) -> None:
    points = tuple(BroadbandPoint(frequency=f, density=s) for f, s in sorted(pairs))
    f = np.array([p.frequency for p in points])
    assert density(points, f) == pytest.approx([p.density for p in points], rel=1e-9)
    middle = np.sqrt(f[:-1] * f[1:])
    assert density(points, middle) == pytest.approx(
        [np.sqrt(a.density * b.density) for a, b in pairwise(points)], rel=1e-9
    )
    assert not density(points, np.array([f[0] * 0.999, f[-1] * 1.001])).any()


def test_peaks_grow_with_the_floor() -> None:
    """Twice the tones and four times the density: twice every peak."""
    tables = shaken_rack()
    one = peaks(built(tables))
    spectrum = tables["vibration"]["spectrum"][0]
    spectrum["tone"] = [{**tone, "peak": 2 * tone["peak"]} for tone in spectrum["tone"]]
    spectrum["broadband"] = [{**point, "density": 4 * point["density"]} for point in spectrum["broadband"]]
    two = peaks(built(tables))
    assert one.keys() == two.keys()
    for id, peak in one.items():
        assert two[id].peak == pytest.approx(2 * peak.peak, rel=1e-9, abs=1e-15)


def test_a_very_stiff_and_slow_world_moves_as_the_floor() -> None:
    """Far below every mode the items accelerate as the floor does, and nothing stretches."""
    tables = shaken_rack()
    spectrum = tables["vibration"]["spectrum"][0]
    spectrum["tone"], spectrum["axes"] = [{"frequency": "0.2 Hz", "peak": 0.01}], ["up"]
    del spectrum["broadband"]
    found = peaks(built(tables))
    for name in ("a", "b"):
        assert found[f"equipment.{name}/acceleration z"].peak == pytest.approx(0.01, rel=1e-3)
        assert found[f"equipment.{name}/acceleration x"].peak < 1e-5


def test_turning_the_rack_turns_its_vibration() -> None:
    """Shaken forward with the nose at -y it answers as shaken left with the nose at +x."""
    tables = shaken_rack()
    tables["vibration"]["spectrum"][0]["axes"] = ["forward"]
    one = peaks(built(tables))
    tables["vibration"]["spectrum"][0]["axes"] = ["left"]
    tables["aircraft"]["forward"] = "+x"
    two = peaks(built(tables))
    for id, peak in one.items():
        assert two[id].peak == pytest.approx(peak.peak, rel=1e-6, abs=1e-12)


def test_isolators_keep_high_frequencies_from_an_item() -> None:
    """A tone far above the isolators' frequencies: the isolated item feels a part of what the other feels."""
    tables = shaken_rack()
    spectrum = tables["vibration"]["spectrum"][0]
    spectrum["tone"], spectrum["axes"] = [{"frequency": "90 Hz", "peak": 0.05}], ["up"]
    del spectrum["broadband"]
    on = peaks(built(tables))["equipment.b/acceleration z"].peak
    del tables["equipment"][1]["isolators"]
    off = peaks(built(tables))["equipment.b/acceleration z"].peak
    assert on < 0.2 * off


def test_a_strap_that_goes_slack_ends_the_judging() -> None:
    tables = shaken_rack()
    tables["vibration"]["allowable"] = {"document": DOCUMENT, "strap_pull": "100 lbf"}
    assert any(one.margin is not None for one in built(tables).vibration.peaks)
    spectrum = tables["vibration"]["spectrum"][0]
    spectrum["broadband"] = [{**point, "density": 1e5 * point["density"]} for point in spectrum["broadband"]]
    vibration = built(tables).vibration
    assert vibration.bent
    assert not vibration.judged
    assert any("goes slack" in one.why_not for one in vibration.peaks)
    assert all(one.peak > 0 for one in vibration.peaks if one.quantity.kind == "strap")


def test_what_no_document_allows_is_not_assessed() -> None:
    document = prove_json(built(shaken_rack()))["vibration"]
    stress = next(one for id, one in document["peaks"].items() if "stress" in id)
    assert stress["assessed"].startswith("NOT ASSESSED")
    assert (stress["margin"], stress["allowable_Pa"], stress["level"]) == (None, None, "vibration")
    sway = document["peaks"]["equipment.b/sway x"]
    assert sway["assessed"] == "yes"
    assert sway["margin"] == pytest.approx(0.3 * 0.0254 / sway["peak_m"] - 1)


def test_what_is_not_stated_is_not_computed() -> None:
    tables = shaken_rack()
    del tables["vibration"]
    vibration = built(tables).vibration
    assert vibration.modes
    assert vibration.why_no_peaks == "no vibration of the floor is stated"
    assert vibration.holds
    tables = shaken_rack()
    del tables["vibration"]["damping"]
    assert built(tables).vibration.why_no_peaks == "no damping is stated"


def test_a_harmonic_too_near_is_a_refusal_at_its_line() -> None:
    text = swap(STANDARD, ('frequency = "500 rpm"', 'frequency = "600 rpm"'))
    design = design_of(text, VARIATION)
    told = [one for one in design.refusals() if one.code == "RW305"]
    assert len(told) == 1
    assert "main rotor 1 per turn" in told[0].found
    assert text.splitlines()[told[0].where.line - 1] == "[[vibration.harmonic]]"
    assert design.strength.holds  # margins of the load cases are another question


def test_miles_only_where_it_holds() -> None:
    """Flat an octave about a mode that is alone: sqrt(pi/2 f Q S); else the reason."""
    tables = plain(shelves={"low": 8})
    tables["vibration"] = shaken_rack()["vibration"]
    spectrum = tables["vibration"]["spectrum"][0]
    spectrum["broadband"] = [{"frequency": f"{f} Hz", "density": 1e-7} for f in (1, 2000)]
    spectrum["axes"] = ["left"]
    (flat,) = built(tables).vibration.miles
    assert not flat.why_not
    assert flat.rms_g == pytest.approx(np.sqrt(np.pi / 2 * flat.hz / 0.06 * 1e-7))
    spectrum["broadband"][1]["density"] = 1e-3
    (steep,) = built(tables).vibration.miles
    assert steep.rms_g is None
    assert "not flat" in steep.why_not
    spectrum["broadband"][0]["frequency"] = "30 Hz"
    (short,) = built(tables).vibration.miles
    assert "does not reach" in short.why_not
