"""The part of `rackwright prove` on vibration, as tables for people: all of it from the JSON document."""

from __future__ import annotations

from typing import Any

import click

from rackwright.faces.cli.show import one_line, table

__all__ = ["write_vibration"]

Document = dict[str, Any]
MODES = 8
_LBF, _IN = 4.4482216152605, 0.0254
#: unit -> US word and factor, SI word and factor, places
_UNITS: dict[str, tuple[tuple[str, float, int], tuple[str, float, int]]] = {
    "g": (("g", 1.0, 3), ("g", 1.0, 3)),
    "m": (("in", _IN, 4), ("mm", 1e-3, 3)),
    "N": (("lbf", _LBF, 1), ("N", 1.0, 1)),
    "Pa": (("ksi", 1000 * _LBF / _IN**2, 3), ("MPa", 1e6, 2)),
}


def write_vibration(document: Document, us: bool) -> None:
    """Modes as ranges, harmonics, and peaks: of like quantities the largest, and every one that is judged no."""
    _modes(document)
    _harmonics(document["harmonics"])
    if document["why_no_peaks"]:
        click.echo(f"\nresponse to vibration: none, because {one_line(document['why_no_peaks'])}")
        return
    _peaks(document, us)
    _margins(document)
    for state, names in document["slack_in_vibration"].items():
        click.echo(
            f"  {one_line(state)}: {one_line(', '.join(names))} goes slack: there peaks are shown, not judged"
        )
    for axis, one in document["miles"].items():
        says = (
            f"{one['rms_g']:.3f} g rms"
            if one["rms_g"] is not None
            else f"does not apply, {one['does_not_apply']}"
        )
        click.echo(f"  Miles' equation, {axis}, mode at {one['hz']:.1f} Hz: {says}")


def _modes(document: Document) -> None:
    click.echo("\nnatural frequencies, over what acts (largest share of the mass along x, y, z in any state)")
    rows = []
    for name, one in list(document["modes"].items())[:MODES]:
        share = [f"{100 * value:.0f} %" for value in one["largest_mass_share"].values()]
        rows.append((name, f"{one['low_hz']:.2f} Hz", f"{one['high_hz']:.2f} Hz", *share, one["low_in"]))
    table("mode< from> to> x> y> z> lowest_when<", rows)
    for name, state in document["states"].items():
        if state["loose"]:
            click.echo(f"  {one_line(name)}: loose, {one_line(state['loose'])}")


def _harmonics(harmonics: Document) -> None:
    if not harmonics:
        click.echo("\nno harmonic of the aircraft is stated")
        return
    click.echo("\ndistance from the aircraft's harmonics")
    rows = []
    for name, one in harmonics.items():
        judged = {True: "yes", False: "NO", None: "not judged"}[one["holds"]]
        need = "none stated" if one["required_percent"] is None else f"{one['required_percent']:g} %"
        near = "none" if one["nearest_mode"] is None else f"mode {one['nearest_mode']}"
        hz = "" if one["nearest_hz"] is None else f"{one['nearest_hz']:.2f} Hz"
        apart = "" if one["apart_percent"] is None else f"{one['apart_percent']:.1f} %"
        rows.append((name, f"{one['low_hz']:.2f}", f"{one['high_hz']:.2f} Hz", near, hz, apart, need, judged))
    table("harmonic< from> to> nearest< at> apart> required> holds<", rows)


def _peaks(document: Document, us: bool) -> None:
    click.echo(
        "\npeaks under the floor's vibration, about the state at rest (level vibration; the largest of each kind)"
    )
    largest: dict[str, str] = {}
    for id, one in document["peaks"].items():
        kind = f"{id.split('.')[0]}/{id.rpartition('/')[2].split(' ')[0]}"
        size, best = (
            document["peaks"][n][f"peak_{one['unit']}"] if n else -1.0 for n in (id, largest.get(kind))
        )
        if size > best:
            largest[kind] = id
    lost = [id for id, one in document["peaks"].items() if one["margin"] is not None and one["margin"] < 0]
    rows = []
    for id in dict.fromkeys((*largest.values(), *lost)):
        one, unit = document["peaks"][id], document["peaks"][id]["unit"]
        allowed = one[f"allowable_{unit}"]
        margin = "" if one["margin"] is None else f"{min(one['margin'], 999):+.3f}"
        rows.append((id, one["place"], _shown(one[f"peak_{unit}"], unit, us),
                     "" if allowed is None else _shown(allowed, unit, us), margin,
                     "" if one["margin"] is not None else one["assessed"]))  # fmt: skip
    table("what< place< peak> allowed> margin> remarks<", rows)


def _margins(document: Document) -> None:
    """The least margin of each kind of check, and how many are not assessed."""
    if document["why_no_margins"]:
        click.echo(f"\nmargins of checks in vibration: NOT ASSESSED, {one_line(document['why_no_margins'])}")
        return
    given = {id: one for id, one in document["margins"].items() if one["margin"] is not None}
    least: dict[str, str] = {}
    for id in sorted(given, key=lambda id: (given[id]["margin"], id)):
        least.setdefault(given[id]["mode"], id)
    gone = len(document["margins"]) - len(given)
    click.echo(
        "\nleast margins of checks in vibration and 1 g (peak strength, not fatigue)"
        + (f"; {gone} are NOT ASSESSED, see --json" if gone else "")
    )
    rows = [
        (id, mode, given[id]["place"], f"{min(given[id]['margin'], 999):+.3f}") for mode, id in least.items()
    ]
    table("what< check< place< margin>", rows)


def _shown(value: float, unit: str, us: bool) -> str:
    word, factor, places = _UNITS[unit][0 if us else 1]
    return f"{value / factor:.{places}f} {word}"
