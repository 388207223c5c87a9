"""The further answers of `rackwright prove` as tables for people; limits are cut off on the safe side."""

from __future__ import annotations

import math
from typing import Any

import click

from rackwright.faces.cli.show import one_line, table

__all__ = ["write_asked", "write_damage", "write_envelope", "write_sensitivity"]

Document = dict[str, Any]
_LB, _IN = 0.45359237, 0.0254


def most(kg: float | None, us: bool) -> str:
    """A largest mass, cut off downward."""
    if kg is None:
        return "none"
    return f"{math.floor(100 * kg / _LB) / 100:.2f} lb" if us else f"{math.floor(1000 * kg) / 1000:.3f} kg"


def far(m: float | None, us: bool) -> str:
    """A largest distance, cut off downward."""
    if m is None:
        return "none"
    return f"{math.floor(100 * m / _IN) / 100:.2f} in" if us else f"{math.floor(10000 * m) / 10:.1f} mm"


def write_asked(asked: Document, us: bool) -> None:
    """Whether the masses that were asked for hold."""
    masses = ", ".join(
        f"{one_line(place)} {kg / _LB:.2f} lb" if us else f"{one_line(place)} {kg:.3f} kg"
        for place, kg in asked["mass_kg"].items()
    )
    answer = "holds" if asked["holds"] else "does NOT hold"
    found = "none" if asked["margin"] is None else f"{asked['margin']:+.3f}"
    click.echo(f"\nwith {masses}: {answer}, least margin {found}, {one_line(asked['governing'])}")


def write_envelope(document: Document, us: bool) -> None:
    """What the turned question answers."""
    if document["left_aside"]:
        click.echo(
            f"\nnot counted below, since the rack has no such margins yet: {_names(document['left_aside'])}"
        )
    click.echo(
        "\nlargest total mass, each alone with all else as defined (tolerance included, cut off downward)"
    )
    rows = []
    for place, one in document["payload"].items():
        lowest = most(one["lowest_kg"], us) if one["lowest_kg"] else ""
        endless = one["largest_kg"] is not None and one["fails_at_kg"] is None
        governing = "no end found" if endless else one_line(one["governing"])
        now = f"{one['now_kg'] / _LB:.2f} lb" if us else f"{one['now_kg']:.3f} kg"
        rows.append((one_line(place), now, lowest, most(one["largest_kg"], us), governing))
    table("place< now> at_least> largest> governing_check<", rows)
    _together(document["together"], us)
    _boundaries(document["boundary"], us)
    _fittings(document["fitting"], us)
    _tubes(document["tubes"], us)


def _together(together: Document | None, us: bool) -> None:
    if together is None:
        return
    click.echo(
        "\nall together: what each may weigh at once, whatever else stays at home, at its own CG height or lower"
    )
    if together["largest_kg"] is None:
        click.echo(f"  none: {one_line(together['governing'])}")
        return
    table("item< largest>", [(one_line(name), most(kg, us)) for name, kg in together["each_kg"].items()])
    low = ", centres at their lowest" if together["governing_centres_at_lowest"] else ""
    click.echo(f"  total {most(together['largest_kg'], us)}; governing: {one_line(together['governing'])}, with "
               f"{_names(together['governing_aboard']) or 'nothing'} aboard{low}; "
               f"{together['choices']} choices judged")  # fmt: skip


def _boundaries(boundary: Document, us: bool) -> None:
    axes = {"z": "height", "x": "across", "y": "depth"}
    if boundary:
        click.echo(
            "\nlargest mass against the place of the centre of gravity, from the corner of the item's body"
        )
    rows = []
    for item, by_axis in boundary.items():
        for axis, line in by_axis.items():
            for point in line["points"]:
                own = "as defined" if point["cg_m"] == line["now_m"] else ""
                rows.append((one_line(item), axes[axis], far(point["cg_m"] + 1e-9, us), most(point["largest_kg"], us),
                             one_line(point["governing"]), own))  # fmt: skip
    table("item< centre< at> largest> governing_check< remarks<", rows)


def _fittings(fittings: Document, us: bool) -> None:
    if fittings:
        click.echo("\nhow far a floor fitting may lie from its place (each alone; least of eight directions)")
    rows, cones = [], []
    for name, one in fittings.items():
        rows.append((one_line(name), far(one["radius_m"], us), one_line(one["governing"])))
        for strap, cone in one["straps"].items():
            (low, own, high), (left, _, right) = cone["above_floor_deg"], cone["in_plan_deg"]
            cones.append((one_line(strap), f"{low:.1f} to {high:.1f}", f"{own:.1f}", f"{left:.1f} to {right:.1f}",
                          f"{math.floor(10 * cone['half_angle_deg']) / 10:.1f}"))  # fmt: skip
    table("fitting< radius> governing_check<", rows)
    if cones:
        click.echo("  straps over those circles, degrees (in plan from rack +x towards +y)")
    table("strap< above_floor> nominal> in_plan> cone_±>", cones)


def _tubes(tubes: list[Document] | None, us: bool) -> None:
    if tubes is None:
        click.echo("\nsmallest tube: the shop's file lists no tubes ([[tube]])")
        return
    click.echo("\ntubes of the shop's list in this rack's place, lightest first")
    rows = []
    for one in tubes:
        size = f"{one['side_nm'] / 25.4e6:.4g} x {one['wall_nm'] / 25.4e6:.4g} in"
        mass = (
            f"{one['per_metre_kg'] / _LB * _IN * 12:.3f} lb/ft" if us else f"{one['per_metre_kg']:.3f} kg/m"
        )
        margin = "" if one["margin"] is None else f"{one['margin']:+.3f}"
        rows.append((size, one_line(one["stock"]), mass, margin, one_line(one["governing"] or one["why"]),
                     "this rack's" if one["own"] else ""))  # fmt: skip
    table("tube< stock< mass> margin> governing_check< remarks<", rows)
    holds = next((row for row, one in zip(rows, tubes, strict=True) if one["holds"]), None)
    click.echo(f"  smallest that holds: {holds[0] if holds else 'none of them'}")


def write_damage(document: Document, us: bool) -> None:
    """Limits of damage, cut off on the safe side, and joints with a bolt missing."""
    click.echo(
        "\nhow much damage may stay (one kind at a time, on every part of the kind; forces of the intact rack)"
    )
    rows = []
    for one in document["limits"].values():
        least, limit = one["kind"] == "least", one["limit_m"]
        shown = "none" if limit is None else near(limit, least, us)
        rows.append((one["what"], near(one["nominal_m"], False, us), one["kind"], shown,
                     "no end found" if one["no_end"] else one_line(one["governing"])))  # fmt: skip
    table("damage< nominal> limit< value> governing_check<", rows)
    bolts = document["one_bolt_missing"]
    held = [joint for joint, one in bolts.items() if one["holds"]]
    click.echo(f"  tube ends that hold with any one of their bolts missing: {len(held)} of {len(bolts)}"
               + (f" ({_names(held)})" if held else ""))  # fmt: skip
    for why in dict.fromkeys(one["why"] for one in bolts.values() if one["why"]):
        click.echo(f"    the others: {why}")
    click.echo(f"  fatigue: {document['fatigue']}; inspection intervals: {document['inspection_intervals']}")


def write_sensitivity(rows: list[Document]) -> None:
    """Which measurement matters most."""
    click.echo(
        "\nwhat a deviation of every piece takes off the margins, the most important measurement first"
    )
    table("measurement< step> worse_if< least_margin_loses> a_margin_loses> worse_if< that_is<", [
        (one["measurement"], one["step"], one["adverse"], f"{one['least_margin_loses']:.4f}",
         f"{one['margin_loses']:.4f}", one["margin_adverse"] if one["margin"] else "", one_line(one["margin"] or ""))
        for one in rows
    ])  # fmt: skip
    click.echo("  film, bond, diagonals: measured, but not part of the strength model")


def near(m: float, least: bool, us: bool) -> str:
    """A limit: a least one cut off upward, a most one downward."""
    unit, places = (_IN, 1e4) if us else (1e-3, 1e3)
    steps = m / unit * places
    whole = math.ceil(steps - 1e-6) if least else math.floor(steps + 1e-6)
    return f"{whole / places:.4f} in" if us else f"{whole / places:.3f} mm"


def _names(names: Any) -> str:
    shown = [one_line(name) for name in names]
    return ", ".join(shown[:6]) + (f" and {len(shown) - 6} more" if len(shown) > 6 else "")
