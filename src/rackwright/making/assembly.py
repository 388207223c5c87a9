"""Every bolt as a joint: what goes on it and where, how it locks, how tight, what keeps its metals apart.

Torque: the table's range for oil-free cadmium-plated threads, in the column of the nut's own type; the running
(drag) torque of the self-locking nut, measured on the joint, is added, and the final torque never passes the table's
limit plus drag (AC 43.13-1B, paragraph 7-40 and table 7-1). Threads that are installed wet are not those of the
table: then the torque is the shop's own, with its document, or missing.
A self-locking nut and a sealant stand only so much heat: what a joint brings along comes after the oven.
The head's washer is one, the rest lie under the nut; the shank must fill every shear plane, and at least one thread
stands past the nut (AC 43.13-1B, paragraph 7-37, as quoted publicly).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rackwright.making.access import Access, access_of, pitch, socket_room
from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.metals import metal_of, metals_at, protection_of
from rackwright.pieces.model import Bolt, Box
from rackwright.rack import Rack
from rackwright.rack.model import Protection
from rackwright.reference import Rows
from rackwright.reference.rows import Nut
from rackwright.shop import Shop
from rackwright.trouble import UNCONFIRMED
from rackwright.units import unit_factor

__all__ = ["Access", "Assembly", "Heat", "Joint", "TorqueRange", "assembly", "bolt_part", "spacer_part"]

IN = 25_400_000  # nm


@dataclass(frozen=True)
class TorqueRange:
    """Torque before drag, N m: the range asked for, and the limit that is never passed; and whose it is."""

    low: float
    high: float
    limit: float
    source: str
    wet: str = ""  # what the threads are wet with; "" = dry, as the table asks

    def final(self, drag: float) -> tuple[float, float, float]:
        """Low, high and limit with the measured running torque of the nut (N m) added."""
        return self.low + drag, self.high + drag, self.limit + drag


@dataclass(frozen=True)
class Joint:
    """One bolt as it is put in. Lengths are nm; `fill` is how far the shank reaches from the head's side."""

    id: str
    number: int  # on the torque card
    bolt: str  # part with its dash number
    washer: str
    head_washers: int
    nut_washers: int
    nut: str  # "" with an anchor
    spacer: str  # part, or ""
    hole: int
    joins: tuple[str, ...]
    head: str  # the side the head is on, as "-x"
    stack: int
    grip_low: int  # stacks that this bolt fits with these washers
    grip_high: int
    fill: int
    protrusion: int
    threads: float | None  # standing past the nut; None with an anchor
    locking: str
    most_temperature: float | None  # K, of what locks it
    torque: TorqueRange | None
    missing: str  # why there is no torque
    protections: tuple[Protection, ...]
    wet: str
    bond: bool  # in the path between the bond pads
    bare: tuple[str, ...]  # faying faces that stay bare for the bond
    access: Access
    notes: tuple[str, ...]
    marks: tuple[str, ...]
    anchor: str = ""  # what it turns into in place of a nut
    anchor_document: str = ""

    @property
    def group(self) -> str:
        """joint, shelf, rail, panel, equipment, pad."""
        return self.id.partition(".")[0]

    @property
    def at_installation(self) -> bool:
        """Is it tightened when the equipment goes in, not in this shop? Its hardware goes along."""
        return any(piece.startswith("equipment.") for piece in self.joins)


@dataclass(frozen=True)
class Heat:
    """Something that comes with an operation and the hottest it stands (K)."""

    name: str
    operation: str
    most: float
    source: str


@dataclass(frozen=True)
class Assembly:
    """The joints of one rack in the order of the card."""

    joints: tuple[Joint, ...]
    heats: tuple[Heat, ...]

    @property
    def ours(self) -> tuple[Joint, ...]:
        """The joints that this shop tightens."""
        return tuple(joint for joint in self.joints if not joint.at_installation)

    @property
    def no_torque(self) -> tuple[Joint, ...]:
        return tuple(joint for joint in self.joints if joint.torque is None)

    @property
    def no_access(self) -> tuple[Joint, ...]:
        return tuple(joint for joint in self.joints if not joint.access.good)


#: the order in which groups are tightened: frame first, then what hangs on it; common practice, no source
ORDER = ("joint", "brace", "pad", "shelf", "rail", "panel", "equipment")


def assembly(design: Racked, shop: Shop) -> Assembly:
    """Every joint of a rack, with what is missing said in its place."""
    rack, pieces = design.rack, design.pieces
    path, boxes = bond_path(rack, pieces.bolts), [(piece.id, piece.boxes) for piece in pieces.made]
    ordered = sorted(pieces.bolts, key=lambda bolt: (ORDER.index(bolt.id.partition(".")[0]), bolt.id))
    joints = tuple(
        _joint(design, shop, bolt, number, path, boxes) for number, bolt in enumerate(ordered, start=1)
    )
    return Assembly(joints, tuple(_heats(joints, rack.rows)))


def bolt_part(bolt: Bolt) -> str:
    """Part number with the dash number, as AN4-22."""
    return f"{bolt.row}-{bolt.dash}"


def spacer_part(bolt: Bolt, rows: Rows) -> str:
    """Name of the spacer between the walls of a hollow piece: bore and length in inches; "" for none."""
    bore = rows.bolts[bolt.row].diameter / 0.0254
    return f"SPACER {bore:.4g}x{bolt.spacer / IN:.4g}" if bolt.spacer else ""


def _joint(
    design: Racked, shop: Shop, bolt: Bolt, number: int, path: frozenset[str],
    boxes: Sequence[tuple[str, tuple[Box, ...]]],
) -> Joint:  # fmt: skip
    rows = design.rack.rows
    series, thick = rows.grips[bolt.row], round(rows.washers[bolt.washer].thickness * 1e9)
    nut, anchor = rows.nuts.get(bolt.nut), bolt.anchor
    grip, length = round(series.grip(bolt.dash) * 1e9), round(series.length(bolt.dash) * 1e9)
    under_nut, height = (bolt.washers - 1, round(nut.height * 1e9)) if nut else (0, 0)
    if anchor and anchor.kind == "nutplate":
        height = anchor.engaged
    under_head = bolt.washers - under_nut
    protrusion = length - bolt.grip - bolt.washers * thick - height
    threads = None if anchor else protrusion / pitch(bolt, rows)
    nut_side, access = access_of(design.rack, bolt, boxes, length, under_nut * thick + height)
    protections = _protections(design, bolt)
    wet = next((row.wet for row in protections if row.wet), "") or ""
    torque, missing = _torque(rows, shop, bolt, nut, wet)
    fill = grip - under_head * thick
    used = (*filter(None, (nut,)), rows.bolts[bolt.row], rows.washers[bolt.washer], series)
    return Joint(
        id=bolt.id, number=number, bolt=bolt_part(bolt), washer=bolt.washer, head_washers=under_head,
        nut_washers=under_nut, nut=bolt.nut, spacer=spacer_part(bolt, rows), hole=bolt.hole, joins=bolt.joins,
        head=("-" if nut_side[0] == "+" else "+") + bolt.axis, stack=bolt.grip, grip_low=grip - under_nut * thick,
        grip_high=grip, fill=fill, protrusion=protrusion, threads=threads, locking=_locking(bolt, nut),
        most_temperature=nut.most_temperature if nut else getattr(anchor, "most", None), torque=torque, missing=missing,
        protections=protections, wet=wet, bond=bolt.id in path,
        bare=_bare(bolt) if bolt.id in path else (), access=access,
        notes=(*_notes(bolt, rows, nut_side, fill, threads, access), *socket_room(design.rack, bolt)),
        anchor=anchor.label if anchor else "",
        anchor_document=(anchor.document if anchor else None) or "no document names it",
        marks=(UNCONFIRMED,) if any(row.unconfirmed for row in used) else (),
    )  # fmt: skip


def _locking(bolt: Bolt, nut: Nut | None) -> str:
    """How it keeps itself from turning."""
    return (bolt.anchor.locking if bolt.anchor else nut.locking if nut else "") or "none"


# --- torque --------------------------------------------------------------------------------------


def _torque(rows: Rows, shop: Shop, bolt: Bolt, nut: Nut | None, wet: str) -> tuple[TorqueRange | None, str]:
    """The range for this thread and nut, or why there is none."""
    thread = rows.bolts[bolt.row].thread
    into = (nut.type, None) if nut else (None, bolt.anchor.part if bolt.anchor else None)
    for own in shop.wet_torque if wet else ():
        if (own.thread, own.wet) == (thread, wet) and (own.nut, own.anchor) == into:
            return TorqueRange(own.low, own.high, own.limit, own.document, wet), ""
    if nut is None:
        return _into(bolt, wet)
    if nut.thread != thread:
        return None, f"nut {nut.id} has thread {nut.thread}, bolt {bolt.row} has {thread}"
    if nut.type not in ("tension", "shear"):
        return None, f"no document says which torque column nut {nut.id} belongs to"
    if wet:
        return (
            None,
            f"installed wet with {wet}: the dry table does not hold; which document states its torque?",
        )
    row = rows.torques.get(thread)
    if row is None:
        return None, f"no torque row for thread {thread}"
    low, high, limit = (
        (row.tension_nut_min, row.tension_nut_max, row.limit_tension_nut)
        if nut.type == "tension"
        else (row.shear_nut_min, row.shear_nut_max, row.limit_shear_nut)
    )
    return TorqueRange(low, high, limit, f"{row.known}; {nut.type}-type nut, {row.note}"), ""


def _into(bolt: Bolt, wet: str) -> tuple[TorqueRange | None, str]:
    """The range that an anchor's document states; the public table is one of nuts."""
    label = bolt.anchor.label if bolt.anchor else "no nut"
    own = bolt.anchor.torque if bolt.anchor else None
    if own is None:
        return None, f"the torque table is one of nuts: which document states the torque into {label}?"
    if (own.wet or "") != wet:
        found = f"installed {f'wet with {wet}' if wet else 'dry'}"
        return None, (
            f"{found}: {own.document} is for {f'wet with {own.wet}' if own.wet else 'dry'} threads; which "
            "document states this torque?"
        )
    return TorqueRange(float(own.low), float(own.high), float(own.limit), own.document, wet), ""


# --- metals, bond, heat --------------------------------------------------------------------------


def _protections(design: Racked, bolt: Bolt) -> tuple[Protection, ...]:
    """The named protections of the unlike metals that meet at a bolt."""
    metals = metals_at(
        bolt, {piece.id: metal_of(piece) for piece in design.pieces.made if piece.id in bolt.joins}
    )
    found = [protection_of(design.rack, (a, b)) for a in sorted(metals) for b in sorted(metals) if a < b]
    return tuple(row for row in found if row is not None)


def bond_path(rack: Rack, bolted: Sequence[Bolt]) -> frozenset[str]:
    """Joint bolts on the shortest chains of frame pieces from the first bond pad to each other one."""
    if rack.definition.bond is None or not rack.definition.bond.pads:
        return frozenset()
    joins: dict[str, dict[str, set[str]]] = {}
    for bolt in bolted:
        if bolt.id.startswith("joint."):
            tube = next(piece for piece in bolt.joins if not piece.startswith(("block.", "ring.")))
            block = next(piece for piece in bolt.joins if piece.startswith("block."))
            joins.setdefault(tube, {}).setdefault(block, set()).add(bolt.id)
            joins.setdefault(block, {}).setdefault(tube, set()).add(bolt.id)
    first, *others = rack.definition.bond.pads
    return frozenset(bolt for pad in others for bolt in _chain(joins, first, pad))


def _chain(joins: dict[str, dict[str, set[str]]], start: str, end: str) -> set[str]:
    """Bolts along a shortest chain, the first in the order of names; empty when there is none."""
    before: dict[str, str] = {start: ""}
    waiting = [start]
    while waiting and end not in before:
        here = waiting.pop(0)
        for there in sorted(joins.get(here, {})):
            if there not in before:
                before[there] = here
                waiting.append(there)
    found: set[str] = set()
    while before.get(end):
        found |= joins[before[end]][end]
        end = before[end]
    return found


def _bare(bolt: Bolt) -> tuple[str, ...]:
    """Faces between a tube and a spigot that the bond needs without coat."""
    tube = next(piece for piece in bolt.joins if not piece.startswith(("block.", "ring.")))
    block = next(piece for piece in bolt.joins if piece.startswith("block."))
    return (f"inside of {tube} on {block}", f"spigot of {block} in {tube}")


def _heats(joints: Sequence[Joint], rows: Rows) -> Iterator[Heat]:
    """What the joints bring along that the oven would spoil, each once."""
    seen: set[str] = set()
    for joint in joints:
        if joint.most_temperature is not None and joint.nut and joint.nut not in seen:
            known = rows.nuts[joint.nut].known_of("most_temperature")
            yield Heat(f"nut {joint.nut}, {joint.locking}", "assemble", joint.most_temperature, str(known))
            seen.add(joint.nut)
        part = joint.anchor.partition(" in ")[0]
        if joint.most_temperature is not None and part and part not in seen:
            yield Heat(f"{part}, {joint.locking}", "assemble", joint.most_temperature, joint.anchor_document)
            seen.add(part)
        for row in joint.protections:
            if row.name not in seen:
                yield Heat(
                    f"protection {row.name}", "assemble", row.most, row.document or "no document names it"
                )
                seen.add(row.name)


# --- notes ----------------------------------------------------------------------------


def _notes(
    bolt: Bolt, rows: Rows, nut_side: str, fill: int, threads: float | None, access: Access
) -> Iterator[str]:
    last = bolt.layers[-1] if nut_side[0] == "+" else bolt.layers[0]
    plane = bolt.grip - (last.high - last.low)
    if bolt.anchor is not None and bolt.anchor.in_plane:
        yield "threads lie in the shear plane: its shear is judged at their root"
    elif bolt.anchor is not None:
        pass
    elif fill < plane:
        yield f"threads lie in a shear plane: the shank ends {(plane - fill) / IN:.3f} in before it"
    elif bolt.grip - fill > round((rows.grips[bolt.row].grip_tolerance or 0.0) * 1e9):
        yield f"the last {(bolt.grip - fill) / IN:.4f} in of {last.piece} bears on threads"
    if threads is not None and threads < 1:
        yield f"{threads:.2f} of a thread stands past the tallest nut, one is asked"
    if not access.good:
        yield f"no room: {' and '.join(access.in_the_way)} in the way; a counterbore, an insert or another order"


def in_lbf(newton_metres: float) -> float:
    """A torque in inch-pounds, as wrenches show it."""
    return newton_metres / float(unit_factor("in*lbf"))
