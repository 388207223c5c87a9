"""A plan for the test that a margin needs, as text: article, load, set-up, criteria, what the report must hold.

Criteria are those of 14 CFR 25.305 (and 29.305): limit load without detrimental permanent deformation, ultimate load
for at least 3 seconds without failure. The load is the greatest of any case on that link, times the factor of the
rule; where limit and ultimate load are both tested with the actual stress conditions simulated, the fitting factor
falls away (25.625(a), 29.625(a)).
"""

from __future__ import annotations

from rackwright.pieces.build import Pieces
from rackwright.rack.model import Rack
from rackwright.strength.evidence import Needed
from rackwright.trouble import DEFERENCE

__all__ = ["plan_text"]

LBF, IN = 4.4482216152605, 0.0254
SAFETY = 1.5


def plan_text(rack: Rack, pieces: Pieces, one: Needed) -> str:
    """The sheet for one margin that analysis cannot give."""
    d, margin = rack.definition, one.margin
    held = [piece for piece in pieces.made if piece.id == margin.piece]
    article = (
        f"{held[0].part}, {held[0].title}, of {held[0].stock}" if held else f"as {margin.piece} of {d.part}"
    )
    where = ", ".join(filter(None, (margin.case, margin.pretension, margin.place)))
    lines = [
        f"TEST PLAN for {margin.id}",
        f"rack {d.part} revision {d.revision}, drawing {d.drawing}",
        "",
        f"why       {one.why}",
        f"article   {article}; with the parts and fasteners that it joins in the rack, to the drawing",
        "          found to conform to the drawing BEFORE it is loaded: document and revision into the report",
        "          certificate of its metal into the report: strength above the specification's least is divided out",
        f"load      {_load(one)}",
        f"          the greatest of all cases: {where}",
        "direction as the case throws it: the reactions of the free body of that case, in rack axes",
        "set-up    supports and joined structure as stiff as in the rack, so that the actual stress conditions are",
        "          simulated; load by a cell in calibration, deflection by dial or laser, both recorded",
        "limit     where the rule has limit loads, or the fitting factor is to fall away: "
        f"{_limit(one)} held, then off: no permanent set that matters",
        "ultimate  the load above held for 3 seconds without failure; then on to failure if the article is spare",
        "report    number and revision; article, conformity, load cell and its calibration, load and deflection,",
        "          result (held, or failed at), photographs, names of who tested and who witnessed",
        "",
        DEFERENCE,
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def _load(one: Needed) -> str:
    if one.load is None:
        return "no single load stands for this check: test the whole rack under the case, or state a way of loading"
    whole = one.load * one.factor
    return (
        f"{_shown(whole, one.unit)} ultimate: {_shown(one.load, one.unit)} × factor {one.factor:g}; "
        f"with a metal ratio r, {_shown(whole, one.unit)} / r"
    )


def _limit(one: Needed) -> str:
    return "limit load" if one.load is None else _shown(one.load / SAFETY, one.unit)


def _shown(value: float, unit: str) -> str:
    if unit == "N":
        return f"{value:.0f} N ({value / LBF:.0f} lbf)"
    return f"{value:.1f} N·m ({value / LBF / IN:.0f} in·lbf)"
