"""What is measured on each piece and rack, derived from the definition.

A characteristic's id is stable over revisions: the piece's id and the name of the dimension. Its number is
the balloon on the drawing. Each is measured before or after coat; film and bond after it.

A hole's size and a thread are no number but a yes or no: GO enters, NO-GO does not, in every one of a piece. Both
are asked for where the definition states the tolerance of a hole's size.

Of plates, angles and rails each hole is measured both ways from its datums (`datums.py`), and so are outlines, those of
rings at the eye too, where the definition states the tolerances of details. A revision frozen before there were any
asks what it asked then.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import degrees
from typing import Literal

from rackwright.pieces.build import Pieces
from rackwright.pieces.datums import PLATES, Datums, datums
from rackwright.pieces.model import Piece
from rackwright.rack.brace import ENDS
from rackwright.rack.finish import DetailTolerance
from rackwright.rack.installation import RingMake
from rackwright.rack.model import Rack
from rackwright.units import NM_PER_M, unit_factor

__all__ = ["GO_NO_GO", "NO", "RACK", "YES", "Characteristic", "characteristics", "ring_outline", "shown"]

RACK = "rack"  # the piece of what is measured on the assembled rack
GO_NO_GO = "go/no-go"
YES, NO = "yes", "no"  # every hole or thread: GO enters and NO-GO does not
CALIPER = 304_800_000  # nm, 12 in: what is longer is measured on the bench (common practice, no source)
Stage = Literal["before coat", "after coat", "assembled"]


@dataclass(frozen=True)
class Characteristic:
    """A dimension to be measured: nominal and limits as exact SI values of its dimension, None = no limit."""

    piece: str
    name: str
    dimension: str  # length, angle, resistance; GO_NO_GO: the answer is yes or no
    unit: str  # it is shown and measured in
    nominal: Fraction | None
    low: Fraction | None
    high: Fraction | None
    stage: Stage
    gauge: str  # the kind of gauge
    number: int = 0  # balloon
    asks: str = ""  # of GO_NO_GO: what goes and what does not

    @property
    def by_gauge(self) -> bool:
        """Is it answered by yes or no with a GO/NO-GO gauge?"""
        return self.dimension == GO_NO_GO

    @property
    def id(self) -> str:
        return f"{self.piece}/{self.name}"


def characteristics(rack: Rack, pieces: Pieces, cut_tolerance: int) -> tuple[Characteristic, ...]:
    """Everything to be measured on one rack, numbered in order. `cut_tolerance` (nm) is the saw's."""
    found = [*_lengths(pieces, cut_tolerance)]
    if rack.definition.tolerance is not None:
        found += [
            *_mitres(rack, pieces),
            *_holes(rack, pieces),
            *_blocks(rack, pieces),
            *_rings(rack, pieces),
            *_details(rack, pieces),
            *_outside(rack),
        ]
    found += _counterbores(rack, pieces)
    found += [*_film(rack, pieces), *_bond(rack), *_gauged(rack, pieces)]
    return tuple(replace(one, number=n) for n, one in enumerate(found, start=1))


def _length(piece: str, name: str, nominal: int, tolerance: int, stage: Stage, gauge: str) -> Characteristic:
    low, high = _metres(nominal - tolerance), _metres(nominal + tolerance)
    return Characteristic(piece, name, "length", "in", _metres(nominal), low, high, stage, gauge)


def _lengths(pieces: Pieces, tolerance: int) -> Iterator[Characteristic]:
    for piece in pieces.sawn:
        assert piece.length is not None
        yield _length(piece.id, "length", piece.length, tolerance, "before coat", "length bench")
        if piece.mitre is not None and piece.mitre.long != piece.length:
            yield _length(piece.id, "long side", piece.mitre.long, tolerance, "before coat", "length bench")


def _mitres(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    """The angle of each sawn end of a brace, from the square."""
    spread = rack.definition.tolerance.mitre_angle if rack.definition.tolerance else None
    for piece in pieces.sawn:
        if piece.mitre is not None and spread is not None:
            for end, angle in zip(ENDS, piece.mitre.angles, strict=True):
                nominal, off = Fraction(angle), Fraction(spread)
                yield Characteristic(piece.id, f"mitre at the {end}", "angle", "deg", nominal, nominal - off,
                                     nominal + off, "before coat", "protractor")  # fmt: skip


def _holes(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    """Where along a tube each bolt pierces it, from the tube's low end."""
    assert rack.definition.tolerance is not None
    for piece in pieces.sawn:
        if piece.kind in ("post", "width", "depth", "brace"):
            for bolt, along in hole_stations(piece).items():
                yield _length(piece.id, f"hole {bolt}", along, rack.definition.tolerance.hole_position, "before coat",
                              "height gauge")  # fmt: skip


def hole_stations(piece: Piece) -> dict[str, int]:
    """Bolt id -> distance (nm) of its holes from the piece's low end; vents are not measured."""
    stations = {
        hole.bolt: piece.station(hole.centre) for hole in piece.holes if not hole.bolt.startswith("vent.")
    }
    return dict(sorted(stations.items(), key=lambda item: (item[1], item[0])))


def _blocks(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    d = rack.definition
    assert d.tolerance is not None
    size = d.tube.side - 2 * d.tube.wall - d.block.spigot_gap
    for piece in pieces.made:
        if piece.kind == "block":
            for axis in "xyz":
                yield _length(
                    piece.id, f"spigot {axis}", size, d.tolerance.block, "before coat", "micrometer"
                )


def _rings(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    d = rack.definition
    assert d.tolerance is not None
    if d.ring_make is None:
        return
    bend, spread = Fraction(d.ring_make.bend), Fraction(d.tolerance.ring_angle)
    for piece in pieces.made:
        if piece.kind == "ring":
            yield Characteristic(piece.id, "bend angle", "angle", "deg", bend, bend - spread, bend + spread,
                                 "before coat", "protractor")  # fmt: skip
            yield _length(piece.id, "leg reach", d.ring_make.leg_reach, d.tolerance.ring_reach, "before coat",
                          "height gauge")  # fmt: skip
            if d.tolerance.detail is not None:
                for name, size in ring_outline(d.ring_make).items():
                    yield _length(piece.id, name, size, d.tolerance.detail.outline, "before coat", "caliper")


def ring_outline(make: RingMake) -> dict[str, int]:
    """What is measured of a ring as cut (nm): the net section and the edge that its strength at the eye rests on."""
    return {"width": make.width, "eye": make.eye, "eye to end": make.eye_edge}


def _details(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    """Plates, angles and rails: holes and outlines."""
    d = rack.definition
    assert d.tolerance is not None
    off = d.tolerance.detail
    if off is None:
        return
    near = d.tolerance.hole_position if off.hole_position is None else off.hole_position
    on_brace = d.gusset_make.on_brace if d.gusset_make else 0
    for piece in pieces.made:
        found = datums(piece, on_brace)
        if found is None:
            continue
        if piece.kind in PLATES:
            yield from _plate(piece.id, found, off)
        if piece.kind == "rail":
            leg = max(box.size(0) for box in piece.walls)
            yield _length(piece.id, "trimmed leg", leg, off.outline, "before coat", "caliper")
        for bolt, (along, across) in found.holes.items():
            for name, at in ((f"hole {bolt}", along), (f"hole {bolt} across", across)):
                if at is not None:
                    yield _length(piece.id, name, at, near, "before coat", "height gauge")


def _plate(piece: str, found: Datums, off: DetailTolerance) -> Iterator[Characteristic]:
    for way, size in zip(("along", "across"), found.size, strict=True):
        gauge = "length bench" if size > CALIPER else "caliper"
        yield _length(piece, f"outline {way}", size, off.outline, "before coat", gauge)
    for bolt, edge in found.edges.items():
        yield _length(piece, f"edge at {bolt}", edge, off.outline, "before coat", "caliper")
    if off.thickness is not None:
        yield _length(piece, "thickness", found.thickness, off.thickness, "before coat", "micrometer")
    if off.flatness is not None:
        yield Characteristic(piece, "flatness", "length", "in", Fraction(0), None, _metres(off.flatness), "before coat",
                             "feeler gauge")  # fmt: skip


def _counterbores(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    bore = rack.definition.pad.counterbore
    for piece in pieces.made:
        if bore is not None and piece.kind == "pad":
            yield _length(piece.id, "counterbore", bore.diameter, bore.tolerance, "before coat", "caliper")
            yield _length(piece.id, "counterbore depth", bore.depth, bore.tolerance, "before coat", "caliper")


def _outside(rack: Rack) -> Iterator[Characteristic]:
    d = rack.definition
    assert d.tolerance is not None
    for name in ("height", "width", "depth"):
        yield _length(RACK, name, getattr(d.outside, name), d.tolerance.outside, "assembled", "length bench")
    for name in ("front", "side", "top"):
        high = 2 * _metres(d.tolerance.outside)
        yield Characteristic(RACK, f"{name} diagonals differ", "length", "in", Fraction(0), None, high, "assembled",
                             "length bench")  # fmt: skip


def _film(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    finish = rack.definition.finish
    if finish is None:
        return
    for piece in pieces.made:
        if piece.kind == "post":
            low, high = _metres(finish.film_low), _metres(finish.film_high)
            yield Characteristic(
                piece.id, "film", "length", "mil", None, low, high, "after coat", "film gauge"
            )


def _bond(rack: Rack) -> Iterator[Characteristic]:
    bond = rack.definition.bond
    if bond is None:
        return
    yield Characteristic(RACK, f"bond {' to '.join(bond.pads)}", "resistance", "mohm", None, None, Fraction(bond.most),
                         "assembled", "bond meter")  # fmt: skip


def _gauged(rack: Rack, pieces: Pieces) -> Iterator[Characteristic]:
    """Sizes of holes and threads, of each piece one a size, by plug or thread gauge."""
    size = rack.definition.tolerance.hole_size if rack.definition.tolerance else None
    if size is None:
        return
    anchors = {bolt.id: bolt.anchor for bolt in pieces.bolts if bolt.anchor is not None}
    for piece in pieces.made:
        plain: Counter[int] = Counter()
        threads: Counter[tuple[str, Stage, str]] = Counter()
        for hole in {(hole.bolt, hole.diameter): hole for hole in piece.holes}.values():
            anchor = anchors.get(hole.bolt)
            if anchor is None or anchor.piece != piece.id or anchor.kind == "nutplate":
                plain[hole.diameter] += not hole.bolt.startswith("vent.")
            elif anchor.kind == "tapped":
                threads[f"{anchor.thread} class 3B", "before coat", "tapped"] += 1
            else:
                plain[hole.diameter] += 1
                threads[anchor.thread, "after coat", f"of insert {anchor.part}, as its document says"] += 1
        for diameter, bolts in sorted(plain.items()):
            if bolts:
                asks = f"{bolts} lines of holes: GO {_inch(diameter)}, NO-GO {_inch(diameter + size)} in"
                yield _by_gauge(piece.id, f"plug {_inch(diameter)} in", asks, "before coat", "plug gauge")
        for (thread, stage, what), count in sorted(threads.items()):
            asks = f"{count} {what}: GO turns in, NO-GO stops within two turns"
            yield _by_gauge(piece.id, f"thread {thread}", asks, stage, "thread gauge")


def _by_gauge(piece: str, name: str, asks: str, stage: Stage, gauge: str) -> Characteristic:
    return Characteristic(piece, name, GO_NO_GO, "", None, None, None, stage, gauge, asks=asks)


def _inch(nm: int) -> str:
    return f"{nm * 1e-9 / 0.0254:.4f}"


def _metres(nm: int) -> Fraction:
    return Fraction(nm, NM_PER_M)


def shown(one: Characteristic, value: Fraction | None) -> str:
    """A value of this characteristic as text with its unit; "" for none."""
    if value is None:
        return ""
    if one.dimension == "angle":
        return f"{degrees(float(value)):.4f} deg"
    number = float(value / unit_factor(one.unit))
    return f"{number:.4f} {one.unit}"
