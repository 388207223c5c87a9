"""The kinds of reference row, as frozen dataclasses in SI.

Every row says where it comes from and how that is known (`Known`); a single quantity of a row may be
known otherwise than the rest (a bolt's shear read in a circular, its tension from memory). What has no
sourced value is None: nothing is filled by a guess. A field's dimension is written beside it, as data;
the reader needs nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from rackwright.trouble import Where

__all__ = [
    "HOW_KNOWN",
    "Amended",
    "Bolt",
    "EdgeRule",
    "Expansion",
    "Exposure",
    "Factor",
    "FitStep",
    "FormField",
    "Grip",
    "KFactor",
    "Known",
    "LoadRule",
    "Material",
    "Nut",
    "PanelGrid",
    "Paragraph",
    "Rivet",
    "Row",
    "Thermal",
    "Torque",
    "Washer",
]

#: how a fact may be known
HOW_KNOWN = ("read", "memory", "derived", "common practice", "measured", "test", "given")


def _q(dimension: str, *, optional: bool = False, many: bool = False) -> Any:
    """A field that is a quantity of this dimension ("number" = a plain number)."""
    meta = {"dimension": dimension, "many": many}
    return field(default=None, metadata=meta) if optional else field(metadata=meta)


@dataclass(frozen=True)
class Known:
    """Where a fact comes from: source, place in it, how it is known, state of checking."""

    source: str
    place: str
    how_known: str
    state: str = ""

    @property
    def unconfirmed(self) -> bool:
        """From memory, or transcribed and not yet compared with the page of the original."""
        return self.how_known == "memory" or self.state.startswith("transcribed")

    def __str__(self) -> str:
        state = f"; {self.state}" if self.state else ""
        return f"{self.source}, {self.place} ({self.how_known}{state})"


@dataclass(frozen=True, kw_only=True)
class Row:
    """What every row has: an id unique in its kind, and its provenance."""

    id: str
    known: Known
    exceptions: tuple[tuple[str, Known], ...] = ()
    note: str = ""
    title: str = ""
    own: Where | None = field(default=None, repr=False, compare=False)  # in a shop's own file; None: shipped
    replaces: Known | None = field(default=None, repr=False, compare=False)  # of the shipped row of this id

    def known_of(self, name: str) -> Known:
        """The provenance of one field."""
        return dict(self.exceptions).get(name, self.known)

    @property
    def fingerprint(self) -> str:
        """SHA-256, in hex, of everything the row holds: what a person compared, and whether it is still that."""
        return sha256(repr(self).encode()).hexdigest()

    @property
    def unconfirmed(self) -> bool:
        """True if the row, or any field of it, is unconfirmed."""
        return self.known.unconfirmed or any(known.unconfirmed for _, known in self.exceptions)


@dataclass(frozen=True, kw_only=True)
class Material(Row):
    """Allowables of one alloy, temper, form, thickness range and basis. Strengths and moduli in Pa."""

    alloy: str
    temper: str
    form: str
    basis: str
    spec: str = ""
    t_min: float = _q("length")
    t_max: float | None = _q("length", optional=True)
    Ftu: float | None = _q("stress", optional=True)  # direction not stated by the source
    Fty: float | None = _q("stress", optional=True)
    Fcy: float | None = _q("stress", optional=True)
    Ftu_L: float | None = _q("stress", optional=True)
    Ftu_LT: float | None = _q("stress", optional=True)
    Fty_L: float | None = _q("stress", optional=True)
    Fty_LT: float | None = _q("stress", optional=True)
    Fcy_L: float | None = _q("stress", optional=True)
    Fcy_LT: float | None = _q("stress", optional=True)
    Fsu: float | None = _q("stress", optional=True)
    Fbru_15: float | None = _q("stress", optional=True)
    Fbru_20: float | None = _q("stress", optional=True)
    Fbry_15: float | None = _q("stress", optional=True)
    Fbry_20: float | None = _q("stress", optional=True)
    E: float | None = _q("stress", optional=True)
    Ec: float | None = _q("stress", optional=True)
    G: float | None = _q("stress", optional=True)
    nu: float | None = _q("number", optional=True)
    density: float | None = _q("density", optional=True)
    elongation: float | None = _q("number", optional=True)

    def strength(self, name: str, direction: str = "") -> float | None:
        """`Ftu`, `Fty` or `Fcy` in direction "L" or "LT"; without a direction, the lowest that is given.

        None when the source gives no value for that direction: another direction is never put in its place.
        A value whose source names no direction serves every direction.
        """
        plain: float | None = getattr(self, name)
        if direction:
            directed: float | None = getattr(self, f"{name}_{direction}")
            return plain if directed is None else directed
        given = [v for v in (plain, getattr(self, f"{name}_L"), getattr(self, f"{name}_LT")) if v is not None]
        return min(given) if given else None

    def covers(self, thickness: float) -> bool:
        """Does the row apply to this thickness (m), to a nanometre."""
        top = float("inf") if self.t_max is None else self.t_max
        return self.t_min - 1e-9 <= thickness <= top + 1e-9


@dataclass(frozen=True, kw_only=True)
class Bolt(Row):
    """A structural bolt: shank diameter (m), strengths and modulus (Pa), single shear and tension strength (N)."""

    thread: str
    diameter: float = _q("length")
    Fsu: float | None = _q("stress", optional=True)
    Ftu: float | None = _q("stress", optional=True)
    single_shear: float | None = _q("force", optional=True)
    tension: float | None = _q("force", optional=True)
    E: float | None = _q("stress", optional=True)
    nu: float | None = _q("number", optional=True)
    head_across_flats: float | None = _q("length", optional=True)
    head_height: float | None = _q("length", optional=True)

    @property
    def head_across_corners(self) -> float | None:
        """Of its hexagon, m."""
        return None if self.head_across_flats is None else self.head_across_flats * 2 / 3**0.5

    @property
    def pitch(self) -> float:
        """Of its thread, m: the designation ends with the threads in an inch."""
        return 0.0254 / int(self.thread.rpartition("-")[2])


@dataclass(frozen=True, kw_only=True)
class Grip(Row):
    """Lengths of a bolt series from its dash number (m)."""

    dash_step: float = _q("length")
    length_offset: float = _q("length")
    thread_length: float = _q("length")
    grip_tolerance: float | None = _q("length", optional=True)

    def length(self, dash: int) -> float:
        """Under the head to the end, m. The tens digit counts whole inches, the last digit eighths below 8.

        Raises ValueError for a dash number the series does not have (…8, …9, or one without a grip).
        """
        inches, eighths = divmod(dash, 10)
        length = (8 * inches + eighths) * self.dash_step + self.length_offset
        if eighths > 7 or length <= self.thread_length:
            raise ValueError(f"{self.id} has no dash number {dash}")
        return length

    def grip(self, dash: int) -> float:
        """Unthreaded length under the head, m."""
        return self.length(dash) - self.thread_length

    def dashes(self) -> tuple[int, ...]:
        """The dash numbers of the series up to 10 in, shortest first."""
        counts = (10 * inches + eighths for inches in range(10) for eighths in range(8))
        return tuple(d for d in counts if self._exists(d))

    def _exists(self, dash: int) -> bool:
        inches, eighths = divmod(dash, 10)
        return (8 * inches + eighths) * self.dash_step + self.length_offset > self.thread_length


@dataclass(frozen=True, kw_only=True)
class Washer(Row):
    """A flat washer (m)."""

    for_diameter: float = _q("length")
    inside_diameter: float = _q("length")
    outside_diameter: float = _q("length")
    thickness: float = _q("length")


@dataclass(frozen=True, kw_only=True)
class Nut(Row):
    """A nut (m); height is the greatest.

    `type` says which column of the torque table is its own ("tension", "shear"), `locking` how it keeps itself
    from turning ("non-metallic insert", "all-metal", "" = not at all), `most_temperature` (K) what it stands.
    """

    thread: str
    type: str = ""
    locking: str = ""
    most_temperature: float | None = _q("temperature", optional=True)
    for_diameter: float = _q("length")
    height: float = _q("length")
    across_flats: float | None = _q("length", optional=True)


@dataclass(frozen=True, kw_only=True)
class Rivet(Row):
    """A driven solid rivet: nominal and hole diameter (m), shear of the metal (Pa), single shear (N)."""

    diameter: float = _q("length")
    hole: float = _q("length")
    Fsu: float | None = _q("stress", optional=True)
    single_shear: float | None = _q("force", optional=True)


@dataclass(frozen=True, kw_only=True)
class Torque(Row):
    """Recommended and greatest tightening torques of a thread (N m)."""

    series: str
    tension_nut_min: float = _q("moment")
    tension_nut_max: float = _q("moment")
    shear_nut_min: float = _q("moment")
    shear_nut_max: float = _q("moment")
    limit_tension_nut: float = _q("moment")
    limit_shear_nut: float = _q("moment")


@dataclass(frozen=True, kw_only=True)
class Amended(Row):
    """A row of a rule: without its amendment (or edition) it is as unconfirmed as one from memory."""

    amendment: str = ""

    @property
    def unconfirmed(self) -> bool:
        return not self.amendment or super().unconfirmed


@dataclass(frozen=True, kw_only=True)
class LoadRule(Amended):
    """Inertia factors of one rule as amended (multiples of weight, one direction at a time).

    A direction the rule gives no factor for is None. `ultimate` factors take no further factor of safety.
    `code` is what the rule's number stands in, as in "14 CFR"; "" where the id says it. `safety` is the row of the
    factor of safety on limit loads that goes with it.
    """

    ultimate: bool
    safety: str = ""
    code: str = "14 CFR"
    up: float | None = _q("number", optional=True)
    forward: float | None = _q("number", optional=True)
    side: float | None = _q("number", optional=True)
    down: float | None = _q("number", optional=True)
    aft: float | None = _q("number", optional=True)

    def factors(self) -> dict[str, float | None]:
        """Direction name to factor."""
        return {name: getattr(self, name) for name in ("up", "forward", "side", "down", "aft")}

    @property
    def has_numbers(self) -> bool:
        return any(value is not None for value in self.factors().values())

    @property
    def cited(self) -> str:
        """As a paper names it, amendment included."""
        rule = f"{self.code} {self.id.rpartition('@')[0]}".strip()
        return f"{rule} as amended by {self.amendment}" if self.amendment else f"{rule}, amendment not stated"


@dataclass(frozen=True, kw_only=True)
class Factor(Amended):
    """A factor of a rule; `kind` is safety, fitting, bearing, casting or removal. None where the rule has no number."""

    kind: str
    value: float | None = _q("number", optional=True)


@dataclass(frozen=True, kw_only=True)
class PanelGrid(Row):
    """The grid of panel equipment (m): `first_hole` from the edge of a unit, then `hole_pitches` in turn."""

    panel_width: float = _q("length")
    hole_spacing: float = _q("length")
    hole_spacing_tolerance: float = _q("length")
    opening_min: float = _q("length")
    unit_height: float = _q("length")
    first_hole: float = _q("length")
    panel_height_clearance: float = _q("length")
    hole_pitches: tuple[float, ...] = _q("length", many=True)


@dataclass(frozen=True, kw_only=True)
class Expansion(Row):
    """A linear thermal expansion coefficient, 1/K."""

    alloy: str
    range: str
    alpha_per_K: float = _q("number")


@dataclass(frozen=True, kw_only=True)
class Thermal(Row):
    """Specific heat and thermal conductivity of an alloy, SI, typical."""

    alloy: str
    specific_heat_J_per_kg_K: float = _q("number")
    conductivity_W_per_m_K: float = _q("number")


@dataclass(frozen=True, kw_only=True)
class Exposure(Row):
    """What one property at room temperature keeps after `time` (s) at each temperature `at` (K), as a share."""

    alloy: str
    temper: str
    property: str
    time: float = _q("time")
    at: tuple[float, ...] = _q("temperature", many=True)
    kept: tuple[float, ...] = _q("number", many=True)


@dataclass(frozen=True, kw_only=True)
class EdgeRule(Row):
    """A least distance from hole centre to edge, and between holes, in fastener diameters."""

    unit_of: str
    minimum: float = _q("number")
    pitch: float | None = _q("number", optional=True)


@dataclass(frozen=True, kw_only=True)
class KFactor(Row):
    """Where the neutral axis of a bend lies, over the thickness from the inside, as a table gives it."""

    metal: str
    thickness: float = _q("length")
    radius: float = _q("length")
    K: float = _q("number")


@dataclass(frozen=True, kw_only=True)
class FitStep(Row):
    """A step of sizes of ISO 286: tolerances of grades 5 to 11; how far shafts d to h lie below; micrometres."""

    over: float = _q("length")
    to: float = _q("length")
    grades_um: tuple[float, ...] = _q("number", many=True)
    below_um: tuple[float, ...] = _q("number", many=True)

    def limits(self, letter: str, grade: int) -> tuple[float, float] | None:
        """Upper and lower deviation (m) of a shaft of this class; None for a class that the row does not have."""
        if letter not in "defgh" or not 5 <= grade <= 11:
            return None
        upper = -self.below_um["defgh".index(letter)] * 1e-6
        return upper, upper - self.grades_um[grade - 5] * 1e-6


@dataclass(frozen=True, kw_only=True)
class FormField(Row):
    """A field of a form of the first-article set, in one revision of the list.

    `holds` names what is put there; "row.x" is x of each row of the form, "" a line to write on.
    """

    list: str
    form: float = _q("number")
    number: float = _q("number")
    holds: str = ""


@dataclass(frozen=True, kw_only=True)
class Paragraph(Row):
    """A paragraph of the rules that a strength report answers or leaves to others.

    `parts` names the parts of 14 CFR that have it under this number; `means` is analysis, test, inspection or
    not covered; `where` says in which section, or by whom. The amendment is the certification basis's to say.
    """

    parts: str
    means: str
    where: str
