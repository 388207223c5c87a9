"""The answer of `rackwright prove` as tables for people.

Everything shown is taken from the JSON document, so that text and JSON cannot differ; only the units are
turned, and of two strap pretensions the one with the larger reaction is shown.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import click

from rackwright.faces.cli.prove_interface import write_chains, write_places, write_reasons
from rackwright.faces.cli.prove_more_text import write_asked, write_damage, write_envelope, write_sensitivity
from rackwright.faces.cli.prove_vibration import write_vibration
from rackwright.faces.cli.show import one_line, table
from rackwright.trouble import DEFERENCE, REPLACED

__all__ = ["write"]

Document = dict[str, Any]
NO_EQUILIBRIUM = "a case has no equilibrium"  # as `strength` words it
_LB, _LBF, _IN = 0.45359237, 4.4482216152605, 0.0254


@dataclass(frozen=True)
class _Scale:
    """US or SI words for people."""

    us: bool

    def mass(self, kg: float) -> str:
        return f"{kg / _LB:.2f} lb" if self.us else f"{kg:.3f} kg"

    def length(self, m: float) -> str:
        return f"{m / _IN:.3f} in" if self.us else f"{1000 * m:.2f} mm"

    def number(self, value: float, unit: str) -> str:
        """A value with its unit; an interaction (unit 1) has none."""
        if unit == "1":
            return f"{value:.3f}"
        if unit == "N":
            return f"{value / _LBF:.0f} lbf" if self.us else f"{value:.0f} N"
        if unit == "m":
            return self.length(value)
        if unit == "N*m":
            return f"{value / _LBF / _IN:.0f} in*lbf" if self.us else f"{value:.1f} N*m"
        if unit == "Pa":
            return f"{value / (_LBF / _IN**2) / 1000:.1f} ksi" if self.us else f"{value / 1e6:.1f} MPa"
        if unit == "N/m" and self.us:
            return f"{value / _LBF * _IN:.1f} lbf/in"
        if unit == "m":
            return self.length(value)
        return f"{value:.6g} {unit}"

    def force(self, newtons: float) -> str:
        shown = round(newtons / _LBF if self.us else newtons)
        return f"{shown:+d}" if shown else "0"


def write(document: Document, us: bool) -> None:
    """Print the document of `prove`."""
    scale = _Scale(us)
    who = document["identity"]
    click.echo(
        f"{one_line(who['part'])} revision {one_line(who['revision'])}, drawing {one_line(who['drawing'])}"
    )
    if document["marks"]:
        click.echo(", ".join(document["marks"]))
    for own in document["own_rows"]:
        click.echo(one_line(f"{REPLACED}: {own['kind']} {own['row']} of {own['file']}, {own['known']}; "
                            f"in place of {own['in_place_of']}"))  # fmt: skip
    _orientation(document["orientation"], scale)
    _mass(document["mass"], scale)
    _cases(document, scale)
    write_places(document["interface"], scale.length)
    _reactions(document["reactions_aircraft_N"], scale)
    _isolators(document["isolators"], scale)
    _after_oven(document["after_oven"])
    _margins(document, scale)
    if near := document["near_edges"]["said"]:
        click.echo(f"\n{one_line(near)}")
    write_vibration(document["vibration"], us)
    write_chains(document["chains"])
    for key, part in (("worked", _worked), ("against", _against)):
        if key in document:
            part(document[key], scale)
    if "asked" in document:
        write_asked(document["asked"], us)
    if "envelope" in document:
        write_envelope(document["envelope"], us)
    if "damage" in document:
        write_damage(document["damage"], us)
    if "sensitivity" in document:
        write_sensitivity(document["sensitivity"])
    _changes(document["changes"])
    if document["questions"]:
        click.echo("\nopen questions:")
        for id, question in document["questions"].items():
            click.echo(f"  {one_line(id)}: {question['text']} (blocks {', '.join(question['blocks'])})")
    write_reasons(document["keeps_from_release"])
    click.echo(f"\n{DEFERENCE}")


def _orientation(orientation: Document, scale: _Scale) -> None:
    if orientation["forward"] is None:
        click.echo("orientation: not stated")
    else:
        document = f", by {one_line(orientation['document'])}" if orientation["document"] else ""
        click.echo(f"orientation: rack {orientation['forward']} points to the nose of "
                   f"{one_line(orientation['aircraft'])}{document}")  # fmt: skip
    click.echo(f"  {orientation['signs']}")
    at = orientation.get("loaded_cg_station_buttock_waterline_m")
    if at is not None:
        words = [f"{name} {scale.length(value)}" for name, value in
                 zip(("station", "buttock line", "waterline"), at, strict=True)]  # fmt: skip
        click.echo(f"  loaded CG at {', '.join(words)}")


def _mass(mass: Document, scale: _Scale) -> None:
    click.echo(
        "\nmass and CG (rack axes: x to the right, y to the rear, z up, from the lower front left corner)"
    )
    rows = []
    for name, one in mass.items():
        band = f"± {scale.mass(one['tolerance_kg'])}" if one["tolerance_kg"] else ""
        rows.append(
            (name, scale.mass(one["mass_kg"]), band, *(scale.length(value) for value in one["cg_rack_m"]))
        )
    table("rack< mass> tolerance< x> y> z>", rows)


def _cases(document: Document, scale: _Scale) -> None:
    if not document["cases"]:
        click.echo("\nload cases: none, because basis or orientation is missing")
        return
    click.echo("\nload cases (factors of g in aircraft axes)")
    rows = []
    for name, case in document["cases"].items():
        moved = document["deflection_m"].get(name)
        loose = document["no_equilibrium"].get(name)
        says = "no equilibrium" if loose else scale.length(moved) if moved is not None else ""
        buckles = document["buckling"].get(name, {}).get("factor")
        factor = f"{buckles:.1f}" if buckles else ""
        motion = document["motion"].get(name)
        turns = f"{motion['rack_turns_deg']:.1f} deg" if motion else ""
        straps = motion["straps"].values() if motion else ()
        strap = f"{max(one['turns_deg'] for one in straps):.1f} deg" if straps else ""
        stretch = scale.length(max(one["stretch_m"] for one in straps)) if straps else ""
        rows.append((name, case["kind"], *(_factor(value) for value in case["aircraft_g"]), says, turns, strap, stretch,
                     factor))  # fmt: skip
    table(
        "case< level< forward> left> up> largest_motion> rack_turns> a_strap_turns> stretches> buckles_at_times>",
        rows,
    )
    if document["motion"]:
        click.echo(
            "  every case is followed to where the rack then rests: straps pull from there, without friction"
        )
    for reason in dict.fromkeys(document["no_equilibrium"].values()):
        click.echo(f"  no equilibrium: {reason}")
    for source in dict.fromkeys(case["source"] for case in document["cases"].values()):
        click.echo(f"  source: {one_line(source)}")
    if document["limit_statement"]:
        click.echo(f"  {document['limit_statement']}")
    hz = ", ".join(f"{value:.1f}" for value in document["modes_hz"])
    click.echo(f"\nfirst modes, all straps and pads acting: {hz or 'none'} Hz")


def _reactions(reactions: Document, scale: _Scale) -> None:
    if not reactions:
        return
    unit = "lbf" if scale.us else "N"
    click.echo(f"\nforces on the aircraft, {unit}, aircraft axes, at the pretension with the larger force")
    rows = []
    for place, cases in reactions.items():
        for case, by_pretension in cases.items():
            known = {p: xyz for p, xyz in by_pretension.items() if xyz and None not in xyz}
            if not known:
                continue  # no equilibrium, as the table of cases says
            pretension, xyz = max(known.items(), key=lambda pair: math.hypot(*pair[1]))
            size = math.hypot(*xyz)
            if round(size) > 0:
                numbers = [scale.force(value) for value in xyz]
                rows.append((place, case, *numbers, scale.force(size).lstrip("+"), pretension))
    table("at< case< forward> left> up> size> pretension<", rows)


def _isolators(isolators: Document, scale: _Scale) -> None:
    if not isolators:
        return
    click.echo(
        "\nitems on isolators past their seats, the most over all variants; the blow on a stop: NOT ASSESSED"
    )
    rows = []
    for name, item in isolators.items():
        if item["sway_m"]:
            rows.append((one_line(name), "sway space", *map(scale.length, item["sway_m"].values()), "", ""))
        for case, one in item["cases"].items():
            travel, stops = map(scale.length, one["travel_m"].values()), "".join(one["on_its_stop"])
            rows.append((one_line(name), case, *travel, stops, scale.number(one["isolator_holds_N"], "N")))
    table("item< case< x> y> z> on_its_stop_along< one_holds>", rows)


def _after_oven(left: Document) -> None:
    for material, properties in left.items():
        kept = ", ".join(f"{name} {100 * one['share']:.1f} %" if one["share"] is not None else f"{name}: {one['why']}"
                         for name, one in properties.items())  # fmt: skip
        click.echo(f"after the oven {one_line(material)} keeps {kept}")


def _margins(document: Document, scale: _Scale) -> None:
    if not document["margins"]:
        click.echo("\nmargins: none")
        return
    click.echo(
        "\ngoverning margins, least of each kind (allowable / (applied × factor) − 1, or from an interaction)"
    )
    rows = []
    for name in document["governing"]:
        margin = document["margins"][name]
        if margin["margin"] is None and margin["missing"] == NO_EQUILIBRIUM:
            continue
        if margin["margin"] is None:
            rows.append(("missing", name, "", "", "", "", "", "", margin["missing"]))
            continue
        rows.append((f"{margin['margin']:+.3f}", name, margin["level"], margin["case"], margin["place"],
                     scale.number(margin["applied"], margin["unit"]), scale.number(margin["allowable"], margin["unit"]),
                     f"{margin['factor']:g}", ", ".join(margin["marks"])))  # fmt: skip
    table("margin> check< level< case< place< applied> allowable> factor> remarks<", rows)
    loose = sum(margin["missing"] == NO_EQUILIBRIUM for margin in document["margins"].values())
    if loose:
        click.echo(f"  {loose} margins are missing: {NO_EQUILIBRIUM}")
    click.echo(
        f"  {len(document['margins'])} margins; all of them, with the source of each allowable: --json"
    )


def _worked(worked: Document, scale: _Scale) -> None:
    for name, steps in worked.items():
        click.echo(f"\n{name}, worked")
        for step in steps:
            click.echo(f"  {step['title']}: {step['equation']}")
            for one in step["symbols"]:
                unit = one["unit"] or ""
                click.echo(f"    {one['name']:12} {_shown(one['value'])} {unit}".rstrip()
                           + (f"  ({_shown(one['value_us'])} {one['unit_us']})" if one["unit_us"] else "")
                           + f"  {one['meaning']}")  # fmt: skip
            for where in step["where"]:
                click.echo(f"    with {where['name']} = {where['expression']} = {_shown(where['value_si'])}")
            result = f"{step['symbols'][-1]['name']} = {_shown(step['result_si'])}"
            click.echo(f"    {step['substituted']}  ->  {result}")
            for note in step["notes"]:
                click.echo(f"    note: {note}")
            click.echo(f"    source: {step['source']} ({step['how_known']})")


def _against(against: Document, scale: _Scale) -> None:
    click.echo(f"\nagainst {one_line(against['against'])}")
    rows = [(f"mass, {name}", *(scale.mass(against[key][when]) for when in ("before", "after")), "")
            for name, key in (("bare", "mass_bare_kg"), ("loaded", "mass_loaded_kg"))]  # fmt: skip
    modes = against["modes_hz"]
    if modes["before"] and modes["after"]:
        rows.append(("first mode", f"{modes['before'][0]:.1f} Hz", f"{modes['after'][0]:.1f} Hz", ""))
    for mode, row in against["margins"].items():
        moved = "" if row["before_at"] == row["after_at"] else f"{row['after_at'] or 'gone'}"
        rows.append((f"margin, {mode}", _signed(row["before"]), _signed(row["after"]), moved))
    table("what< before> after> now_at<", rows)


def _changes(changes: Document) -> None:
    """What the variation changes, under the reason it gives."""
    if changes:
        click.echo("\nchanges of the definition")
    for why in dict.fromkeys(one["why"] for one in changes.values()):
        click.echo(f"  {one_line(why)}")
        for path, one in changes.items():
            if one["why"] == why:
                before, after = (one_line(one[when] or "none") for when in ("before", "after"))
                click.echo(f"    {one_line(path)}: {before} -> {after}")


def _factor(value: float) -> str:
    return f"{value:+g}" if value else "0"


def _signed(value: float | None) -> str:
    return "-" if value is None else f"{value:+.3f}"


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return "(" + ", ".join(map(_shown, value)) + ")"
    return "not a number" if value is None else f"{value:.6g}"
