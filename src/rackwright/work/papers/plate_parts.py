"""The flat parts of a design as the ballooned drawing shows them: panels, pads and gussets from their datums.

Pieces of one part whose holes lie alike from their datums share a sheet; at a hole then stand the numbers of the first
piece, and in the tables those of each. Where the definition states no tolerances of details, the sheet says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.design import Design
from rackwright.papers.lengths import inches
from rackwright.papers.plate_part import PlateHole, PlateSketch
from rackwright.pieces.characteristics import Characteristic, shown
from rackwright.pieces.datums import PLATES, Datums, datums
from rackwright.pieces.model import Piece
from rackwright.work.papers.drawing import detail_tolerances, part_title, parts_of
from rackwright.work.papers.words import side_of

__all__ = ["plate_sketches"]

USES = {"panel": "shelf angle", "equipment": "equipment", "pad": "pad bolt", "brace": "gusset bolt"}


def plate_sketches(design: Design, wanted: Sequence[Characteristic]) -> tuple[PlateSketch, ...]:
    """A part for each different plate."""
    named = {one.id: one for one in wanted}
    make = design.rack.definition.gusset_make
    sketches: list[PlateSketch] = []
    for pieces in parts_of(design).values():
        if pieces[0].kind in PLATES:
            alike: dict[object, list[tuple[Piece, Datums]]] = {}
            for piece in pieces:
                found = datums(piece, make.on_brace if make else 0)
                assert found is not None
                alike.setdefault((found.size, *found.places.values()), []).append((piece, found))
            sketches += [_sketch(design, group, named) for group in alike.values()]
    return tuple(sketches)


def _sketch(
    design: Design, group: Sequence[tuple[Piece, Datums]], named: Mapping[str, Characteristic]
) -> PlateSketch:
    (piece, found), pieces = group[0], [one for one, _ in group]
    orders = [list(each.places) for _, each in group]  # holes of alike pieces pair by place

    def numbers(names: Sequence[str]) -> str:
        ids = [f"{one.id}/{name}" for one, name in zip(pieces, names, strict=True)]
        return ", ".join(str(named[id].number) for id in ids if id in named)

    holes, seen = [], set[str]()
    for n, (bolt, (along, across)) in enumerate(found.places.items()):
        bolts = [order[n] for order in orders]
        first, second, edge = (
            numbers([name.format(each) for each in bolts])
            for name in ("hole {}", "hole {} across", "edge at {}")
        )
        seen |= {f"{piece.id}/hole {bolt}", f"{piece.id}/hole {bolt} across"}
        mark = "·".join(filter(None, (text.partition(",")[0] for text in (first, second))))
        datum = " (datum B)" if found.holes[bolt] == (None, None) else ""
        use = USES.get(bolt.split(".")[0], "") + datum
        holes.append(
            PlateHole(along, across, found.diameters[bolt], first, second, use, mark, edge.partition(",")[0])
        )
    line = piece.kind == "gusset"
    rows = []
    for one in named.values():
        if one.piece == piece.id and one.id not in seen:
            name, alike, at = one.name, [one.name] * len(pieces), one.name.removeprefix("edge at ")
            if at in found.places:
                n = list(found.places).index(at)
                name, alike = f"edge at hole {n + 1} (e)", [f"edge at {order[n]}" for order in orders]
            rows.append((numbers(alike), name, _plain(one, one.nominal), _limits(one), one.gauge))
    sizes = [numbers([f"outline {way}"] * len(pieces)) for way in ("along", "across")]
    return PlateSketch(
        piece.id, piece.part, f"{part_title(design, pieces)}, {piece.section}, {piece.material}", found.outline,
        found.size, (sizes[0].partition(",")[0], sizes[1].partition(",")[0]), tuple(holes), 1, line,
        tuple(rows), tuple(_notes(pieces, found)), (detail_tolerances(design.rack.definition.tolerance),),
    )  # fmt: skip


def _notes(pieces: Sequence[Piece], found: Datums) -> Iterator[str]:
    yield f"Datum A: the face that it lies on. Along from {found.along}; across from {found.across}."
    yield f"Seen from the {side_of(found.seen)}. {len(pieces)} a rack: {', '.join(one.id for one in pieces)}."
    if len(pieces) > 1:
        yield f"Numbers in the view are those of {pieces[0].id}; in the tables those of each piece, in that order."
    if pieces[0].kind == "gusset":
        yield "Across counts to the left of the way along: a minus sign stands for the right."
    yield f"Thickness {inches(found.thickness, 4)} in, {pieces[0].stock}."


def _plain(one: Characteristic, value: object) -> str:
    return "–" if value is None else inches(round(float(value) * 1e9), 4)  # type: ignore[arg-type]


def _limits(one: Characteristic) -> str:
    if one.by_gauge:
        return one.asks
    if one.low is None:
        return f"at most {shown(one, one.high)}"
    return f"{_plain(one, one.low)} to {_plain(one, one.high)}"
