"""One rack, everything computed: the first file to read.

    design = Design(rack)
    design.pieces, design.bare, design.loaded, design.strength, design.questions

Definition to pieces to strength are pure functions; a Design holds them as cached properties, so that nothing
is computed twice and nothing that was not asked for. An edit makes a new Design. What a person sees of it is in
`answers.py`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

from rackwright.pieces.as_built import as_built
from rackwright.pieces.as_weighed import Weight, as_weighed
from rackwright.pieces.build import Pieces, build
from rackwright.pieces.near_edges import NearEdge, near_edges
from rackwright.pieces.oven_time import OVEN_TIME, KnockDown, baked, less, planned, softened
from rackwright.pieces.weight import Mass, bare, loaded
from rackwright.rack import Question, Rack, open_questions
from rackwright.rack.build_up import Tube
from rackwright.shop import ShopTube
from rackwright.strength.analyse import Strength, analyse
from rackwright.strength.damage import DamageLimit, MissingBolt, damage_limits, missing_bolts
from rackwright.strength.evidence import covered
from rackwright.strength.frame import Modal
from rackwright.strength.in_turn import Each, in_turn
from rackwright.strength.inverse import Payload, Together, TubeTried, payloads, together, tubes_tried
from rackwright.strength.margin import NO_EQUILIBRIUM, Margin
from rackwright.strength.sensitivity import Sensitivity, sensitivities
from rackwright.strength.vary import Batch
from rackwright.strength.vibration import AtRest, Vibration, at_rest, every_part_acting, vibrate
from rackwright.trouble import PRELIMINARY, REPLACED, UNCONFIRMED, Fault, Refusal

__all__ = ["Design"]


@dataclass(frozen=True, eq=False)
class Design:
    """One rack with everything that follows from its definition."""

    rack: Rack
    measured: Mapping[str, Fraction] = field(default_factory=dict)  # SI, by characteristic id: as built
    weighed: Weight | None = None  # what the scales found, where the masses computed do not stand
    heated: tuple[KnockDown, ...] = ()  # what the oven left by the record
    asked: tuple[str, ...] = ()  # open questions that a record asks of it, in words: they mark every paper
    each: Each = in_turn  # how the parts of a long question are shared out

    @cached_property
    def pieces(self) -> Pieces:
        return as_weighed(as_built(build(self.rack), self.measured), self.weighed)

    @property
    def drawn(self) -> Design:
        """The same as its definition draws it, nothing measured, weighed or baked."""
        if not (self.measured or self.weighed or self.heated):
            return self
        return replace(self, measured={}, weighed=None, heated=())

    @cached_property
    def left(self) -> tuple[KnockDown, ...]:
        """What the oven leaves of the strengths: by the definition's time, or by the record where that is less."""
        return less(planned(self.rack, baked(self.pieces.made)), self.heated)

    @cached_property
    def proven(self) -> Rack:
        """The rack with the strengths that are left; everything that judges strength reads them here."""
        return softened(self.rack, self.left)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What keeps it from being built; with any of these nothing else is computed."""
        return self.pieces.faults

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        return open_questions(self.rack)

    @cached_property
    def near_edges(self) -> tuple[NearEdge, ...]:
        """Holes that may be read within their limits where there is no bearing strength."""
        return near_edges(self.rack, self.drawn.pieces)

    @cached_property
    def bare(self) -> Mass:
        return bare(self.pieces)

    @cached_property
    def loaded(self) -> Mass:
        return loaded(self.rack, self.pieces)

    @cached_property
    def strength(self) -> Strength:
        return analyse(self.proven, self.pieces)

    @cached_property
    def at_rest(self) -> AtRest:
        """The rack under its own weight."""
        return at_rest(self.proven, self.pieces, self.strength.model)

    @cached_property
    def modes(self) -> Modal:
        """The first four natural frequencies and shapes, with every strap and pad acting."""
        return every_part_acting(self.strength.model, self.at_rest.response, 4)

    @property
    def modes_hz(self) -> tuple[float, ...]:
        return tuple(float(f) for f in self.modes.hz[:4])

    @cached_property
    def vibration(self) -> Vibration:
        return vibrate(self.at_rest)

    @cached_property
    def batch(self) -> Batch:
        """This rack made ready for variants of what it carries and how it is tied down."""
        return Batch(self.proven, self.pieces, self.each)

    def tubes_tried(self, tubes: Sequence[ShopTube]) -> tuple[TubeTried, ...]:
        """The shop's tubes in this rack's place, lightest first."""
        fields = ("side", "wall", "corner_radius", "material", "stock")
        every = [Tube(**{name: getattr(one, name) for name in fields}) for one in tubes]
        other = planned(self.rack, {tube.material for tube in every})
        left = less(self.left, other)
        gone = {one.material: f"after its oven time: {one.why}" for one in left if one.share is None}
        return tuple(
            replace(one, margin=None, governing="", why=gone[one.tube.material])
            if one.tube.material in gone and not one.why
            else one
            for one in tubes_tried(softened(self.rack, left), every)
        )

    @cached_property
    def payloads(self) -> tuple[Payload, ...]:
        """The largest mass of each item and shelf, all else as defined."""
        return payloads(self.batch)

    @cached_property
    def together(self) -> Together | None:
        """All items at once; None without equipment."""
        return together(self.batch)

    @cached_property
    def damage(self) -> tuple[tuple[DamageLimit, ...], tuple[MissingBolt, ...]]:
        """Limits of damage, and every tube's end with a bolt missing; none without cases."""
        run = self.strength.run
        return ((), ()) if run is None else (damage_limits(self.strength, self.each), missing_bolts(run))

    @cached_property
    def sensitivities(self) -> tuple[Sensitivity, ...]:
        """Which measurement matters most to which margin."""
        return sensitivities(self.proven, self.pieces, self.strength, self.each)

    @property
    def marks(self) -> tuple[str, ...]:
        """PRELIMINARY while questions are open, its own or asked of it, UNCONFIRMED while a margin rests on such a
        row, OWN ROW likewise."""
        doubtful = any(UNCONFIRMED in margin.marks for margin in self.strength.margins)
        own = any(REPLACED in margin.marks for margin in self.strength.margins)
        return (
            (PRELIMINARY,) * bool(self.questions or self.asked)
            + (UNCONFIRMED,) * doubtful
            + (REPLACED,) * own
        )

    def refusals(self) -> tuple[Refusal, ...]:
        """Why the answer is no: cases without equilibrium, negative and missing margins."""
        where, no = self.rack.where, []
        hold = next((kind for kind in ("strap", "foot") if getattr(self.rack.definition, kind)), "pad")
        unheld = {NO_EQUILIBRIUM, *(why for _, why in self.strength.loose)}
        for case, why in self.strength.loose:
            no.append(Refusal("RW302", where(hold), f"{case}: {why}", "add or tighten straps, or hold it"))
        for margin in self.strength.margins:
            if margin.margin is None:
                if not self.strength.loose or margin.why_missing not in unheld:  # else it is told above
                    no.append(Refusal("RW304", where(_path(margin)), f"{margin.id}: {margin.why_missing}",
                                      "give the value with its document"))  # fmt: skip
            elif not margin.holds:
                at = f"in {margin.case}, {margin.mode} {margin.place}".rstrip()
                found = f"{margin.id}: margin {margin.margin:+.3f} {at}"
                no.append(Refusal("RW303", where(_path(margin)), found, "strengthen it or lower its load"))
        no += [Refusal("RW304", where(OVEN_TIME), f"{one.name} of {one.material} after its oven time: {one.why}",
                       "give a time and metal within the curves, or curves of this temper with their source")
               for one in self.left if one.share is None]  # fmt: skip
        no += _shaken(self.rack, self.vibration)
        for test, ids in covered(self.rack, self.strength.margins).items():
            if not ids and self.strength.margins:
                found = f"test {test} covers no margin of this rack"
                no.append(
                    Refusal(
                        "RW320", where(f"evidence.{test}.covers"), found, "name ids as `prove --json` does"
                    )
                )
        if not self.strength.margins:
            no.append(Refusal("RW304", where("basis"), "no margins: basis or orientation is missing",
                              "enter [basis] and [aircraft] with their documents"))  # fmt: skip
        return tuple(no)


def _shaken(rack: Rack, vibration: Vibration) -> list[Refusal]:
    """Harmonics that a mode is too near to, and peaks beyond what a document allows."""
    no = []
    for one in vibration.apart:
        if one.holds is False and one.apart is not None and one.required is not None:
            found = f"mode {one.mode} at {one.mode_hz:.2f} Hz is {100 * one.apart:.1f} % from {one.harmonic}"
            found += f", {100 * one.required:g} % is required"
            place = rack.where(f"vibration.harmonic.{one.harmonic}")
            no.append(Refusal("RW305", place, found, "change stiffness, mass or pretension"))
    for peak in vibration.judged:
        if peak.margin is not None and peak.margin < 0:
            found = f"{peak.id}: margin {peak.margin:+.3f} in vibration, {peak.state}"
            place = rack.where(
                peak.quantity.subject if peak.quantity.kind in ("sway", "gap") else "vibration"
            )
            no.append(Refusal("RW305", place, found, "strengthen it, give it room, or isolate it"))
    for margin in vibration.margins:
        if margin.margin is not None and margin.margin < 0:
            found = f"{margin.id}: margin {margin.margin:+.3f} in {margin.case}, {margin.mode} {margin.place}"
            no.append(
                Refusal("RW305", rack.where(_path(margin)), found.rstrip(), "strengthen it or isolate it")
            )
    return no


def _path(margin: Margin) -> str:
    """The definition's table that a margin hangs on."""
    kind, _, rest = margin.piece.partition(".")
    head = rest.split(".")[0]
    return {
        "angle": f"shelf.{head}.height", "panel": f"shelf.{head}.height", "shelf": f"shelf.{head}.height",
        "equipment": f"equipment.{rest}.mass", "ring": f"ring.{rest}", "strap": f"strap.{rest}",
        "fitting": f"floor_fitting.{rest}", "pad": "pad", "joint": "joint", "rail": "rails",
        "brace": f"brace.{rest}", "gusset": f"brace.{rest}",
    }.get(kind, "tube")  # fmt: skip
