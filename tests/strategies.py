"""What the laws are tested over: one strategy for each kind of thing the house knows.

A strategy draws the choices that matter (how many, which kind, which options) and one seed for the plain
numbers, so that shrinking reaches small things quickly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from racks import ANCHORS, INVENTED, SELDOM, anchored, inch, item, plain
from rackwright.making import saw
from rackwright.strength import frame as fr

# --- frames ----------------------------------------------------------------------------------------------

SEEDS = st.integers(0, 2**32 - 1)


@st.composite
def frames(
    draw: st.DrawFn, *, held: bool = True, one_sided: bool = False, springs: bool = True, masses: bool = True,
    most_nodes: int = 7,
) -> fr.Frame:  # fmt: skip
    """A connected frame of beams like those of a rack: offsets, shear flexibility, releases, carried masses.

    `held` fixes its first node, `one_sided` adds ties to ground and to nodes, and pads, some with pretension.
    """
    rng = np.random.default_rng(draw(SEEDS))
    nodes = draw(st.integers(2, most_nodes))
    xyz = np.array([[i % 2, (i // 2) % 2, i // 4] for i in range(nodes)]) * 0.6 + rng.uniform(
        -0.15, 0.15, (nodes, 3)
    )
    members = draw_members(draw, rng, nodes)
    fixed = np.zeros((nodes, 6), bool)
    fixed[0] = held
    parts: dict[str, Any] = {}
    if springs and draw(st.booleans()):
        count = draw(st.integers(1, 3))
        parts["springs"] = fr.Springs(
            rng.integers(nodes, size=count), rng.integers(6, size=count), 10 ** rng.uniform(3, 6, count)
        )
    if masses and draw(st.booleans()):
        parts["masses"] = carried(rng, xyz, draw(st.integers(1, 3)))
    if masses and draw(st.booleans()):
        parts["member_masses"] = on_members(rng, xyz, members, draw(st.integers(1, 4)))
    if one_sided:
        parts["ties"] = draw_ties(draw, rng, nodes)
        parts["pads"] = draw_pads(draw, rng, nodes)
    return fr.Frame(xyz, fixed, members, **parts)


def draw_members(draw: st.DrawFn, rng: np.random.Generator, nodes: int) -> fr.Members:
    tree = [[int(rng.integers(j)), j] for j in range(1, nodes)]
    more = [
        [i, j] for i in range(nodes) for j in range(i + 1, nodes) if [i, j] not in tree and rng.random() < 0.4
    ]
    ends = np.array(tree + more)
    count = len(ends)
    end_spring = np.full((count, 2, 2), np.inf)
    if draw(st.booleans()) and more:  # soften and release members that are not needed to hold the tree
        end_spring[len(tree) :] = rng.choice([0.0, 2e3, np.inf], (len(more), 2, 2))
    shear = draw(st.booleans())
    return fr.Members(
        ends, zref=rng.normal(size=(count, 3)), E=np.array(68.3e9), G=np.array(26e9),
        A=rng.uniform(2e-4, 5e-4, count), Iy=rng.uniform(2e-8, 1e-7, count), Iz=rng.uniform(2e-8, 1e-7, count),
        J=rng.uniform(3e-8, 2e-7, count), rho=np.array(2700.0),
        Asy=np.array(1.2e-4 if shear else np.inf), Asz=np.array(1.5e-4 if shear else np.inf),
        offset=rng.uniform(-0.03, 0.03, (count, 2, 3)) if draw(st.booleans()) else np.array(0.0),
        end_spring=end_spring,
    )  # fmt: skip


def carried(rng: np.random.Generator, xyz: np.ndarray, count: int) -> fr.Masses:
    """Masses on one, two (a line), three or four points of the frame."""
    points = [rng.integers(len(xyz), size=rng.integers(1, 5)) for _ in range(count)]
    node = np.concatenate(points)
    return fr.Masses(
        m=rng.uniform(1, 20, count), xyz=rng.uniform(0, 1, (count, 3)),
        carrier=np.repeat(np.arange(count), [len(p) for p in points]), node=node,
        offset=rng.uniform(-0.05, 0.05, (len(node), 3)), weight=rng.uniform(0.5, 2, len(node)), count=count,
    )  # fmt: skip


def on_members(rng: np.random.Generator, xyz: np.ndarray, members: fr.Members, count: int) -> fr.MemberMasses:
    """Masses along members: several on one, and at the very ends."""
    member = rng.integers(len(members), size=count)
    offset = np.broadcast_to(members.offset, (len(members), 2, 3))[member]
    ends = xyz[members.ends[member]] + offset
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    place = rng.choice([0.0, 1.0, 0.3, 0.5, 0.77], count)
    return fr.MemberMasses(member, at=place * length, m=rng.uniform(1, 20, count))


def draw_ties(draw: st.DrawFn, rng: np.random.Generator, nodes: int) -> fr.Ties:
    count = draw(st.integers(1, 6))
    node = np.stack([rng.integers(nodes, size=count), np.full(count, -1)], axis=1)
    offset = rng.uniform(-0.03, 0.03, (count, 2, 3))
    offset[:, 1] = rng.uniform(-1.5, 2.0, (count, 3))  # a ground point
    if nodes > 2 and draw(st.booleans()):
        node[0, 1] = (node[0, 0] + 1) % nodes
        offset[0, 1] = rng.uniform(-0.03, 0.03, 3)
    pretension = rng.choice([0.0, 300.0, -100.0], count) if draw(st.booleans()) else np.array(0.0)
    return fr.Ties(node, k=10 ** rng.uniform(5, 7, count), T0=pretension, offset=offset)


def draw_pads(draw: st.DrawFn, rng: np.random.Generator, nodes: int) -> fr.Pads:
    count = draw(st.integers(1, 6))
    return fr.Pads(
        rng.integers(nodes, size=count), push=np.array([0.0, 0, 1, 0, 0, 0]), k=10 ** rng.uniform(5, 7, count),
        T0=np.array(draw(st.sampled_from([0.0, 50.0]))), offset=rng.uniform(-0.05, 0.05, (count, 3)),
    )  # fmt: skip


@st.composite
def load_cases(draw: st.DrawFn, nodes: int, *, count: int = 3, inertia: bool = True) -> fr.Cases:
    """Inertia cases of some g, with forces and moments on nodes in some of them."""
    rng = np.random.default_rng(draw(SEEDS))
    a = rng.uniform(-100, 100, (count, 3)) if inertia else np.zeros((count, 3))
    nodal = rng.uniform(-1, 1, (count, nodes, 6)) * ([500.0] * 3 + [50.0] * 3)
    nodal[0] *= draw(st.sampled_from([0.0, 1.0])) if inertia else 1.0
    return fr.Cases(a, nodal)


def rotation(rng: np.random.Generator) -> np.ndarray:
    """A proper rotation matrix."""
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return q * np.sign(np.linalg.det(q))


# --- saw -------------------------------------------------------------------------------------------------


@st.composite
def saw_problems(draw: st.DrawFn, *, tiny: bool = False, unlimited: bool | None = None) -> saw.Problem:
    """A section's cutting problem: bars of several lengths and heats, remnants with credit, sets of one heat, and
    pieces of a heat that is named.

    `tiny` stays within what brute force can search; `unlimited` says whether one bar comes as often as needed
    (then everything that fits it can be cut). With and without trim, tail, credit, and a last kerf saved.
    """
    rng = np.random.default_rng(draw(SEEDS))
    kinds, lengths = draw(st.integers(1, 3)), draw(st.integers(1, 3 if tiny else 8))
    longest = draw(st.sampled_from([20, 100, 1000]))
    shop = draw(st.booleans())
    tail, credit = (int(rng.integers(0, longest // 10 + 1)), int(rng.integers(1, 9))) if shop else (0, 0)
    kerf = int(rng.integers(0, longest // 20 + 1))
    endless = draw(st.booleans()) if unlimited is None else unlimited
    bars = []
    for k in range(kinds):
        length = int(rng.integers(longest // 2, longest + 1)) if k else longest
        trim = int(rng.integers(0, longest // 20 + 1)) if shop and rng.random() < 0.5 else 0
        count = None if endless and k == 0 else int(rng.integers(0, 3 if tiny else 6))
        cost = length * int(rng.integers(credit, credit + 4)) + 1 if shop else int(rng.integers(1, 4))
        bars.append(saw.Bar(f"B{k}", length, cost, count, trim, f"H{rng.integers(2)}"))
    most = longest - tail - longest // 20 - 1
    pieces = [
        saw.Piece(
            f"P{i}",
            int(rng.integers(max(1, most // 6), max(2, most))) + (0 if shop else kerf),
            int(rng.integers(0, 3 if tiny else 7)),
        )
        for i in range(lengths)
    ]
    groups: tuple[saw.Group, ...] = ()
    if draw(st.booleans()):
        pieces[0] = saw.Piece("P0", pieces[0].use, 2 * int(rng.integers(0, 2 if tiny else 4)))
        groups = (saw.Group(("P0",), 2),)
    remnant = int(rng.integers(tail, longest // 2 + tail))
    if lengths > 1 and draw(st.booleans()):
        heat = bars[0 if endless else int(rng.integers(kinds))].heat
        pieces[-1] = replace(pieces[-1], heat=heat)
    return saw.Problem(
        tuple(bars), tuple(pieces), groups, tail, remnant if shop else 0, credit, 0 if shop else kerf
    )


# --- racks -----------------------------------------------------------------------------------------------


COUNTERBORE = {"diameter": "3/4 in", "depth": "1/4 in", "tolerance": "0.010 in"}


@st.composite
def racks(draw: st.DrawFn, *, most_shelves: int = 3, counterbored: bool = False) -> dict[str, Any]:
    """The tables of a sound rack: sizes in quarter inches, some shelves, on most of them an item off the middle.

    `counterbored` ones have pads of a thickness that the blocks' row of metal does not cover: no strength is asked."""
    width, depth, height = (
        draw(st.integers(4 * low, 4 * high)) / 4 for low, high in ((22, 30), (22, 30), (30, 48))
    )
    shelves, items = {}, []
    for n in range(draw(st.integers(0, most_shelves))):
        name = f"s{n}"
        shelves[name] = 6.5 + n * 9.25 + draw(st.integers(0, 4)) / 4
        if draw(st.booleans()) and shelves[name] + 6 <= height:
            at = draw(st.integers(14, 16)) / 4, draw(st.integers(8, 16)) / 4
            cg = draw(st.integers(20, 36)) / 4, draw(st.integers(20, 44)) / 4, draw(st.integers(4, 20)) / 4
            one = item(f"i{n}", name, at, lb=draw(st.integers(4, 48)), cg=cg)
            items.append({**one, "cg_tolerance": [inch(draw(st.sampled_from([0, 0.5]))) for _ in range(3)]})
    forward = draw(st.sampled_from(["-y", "+y", "+x", "-x"]))
    wall = draw(st.sampled_from([0.125, 0.095]))
    spread = draw(st.integers(12, 30))
    tables = plain((width, depth, height), shelves, items, spread, forward, wall)
    if counterbored and draw(st.booleans()):
        tables["pad"] = {**tables["pad"], "thickness": "1/2 in", "counterbore": COUNTERBORE}
    kind = draw(st.sampled_from(["nut", *ANCHORS]))
    return tables if kind == "nut" else anchored(tables, kind)


def footed(tables: dict[str, Any]) -> dict[str, Any]:
    """The same rack without rings and straps, bolted at its four pads to inserts of the floor."""
    out = {key: value for key, value in tables.items() if key not in ("ring", "strap", "strap_type", "link")}
    wide, deep = (float(tables["outside"][name].split()[0]) for name in ("width", "depth"))
    side = 0.75
    fittings, feet = [], []
    for corner in ("front-left", "front-right", "rear-left", "rear-right"):
        x = side if corner.endswith("left") else wide - side
        y = side if corner.startswith("front") else deep - side
        carry = {
            "tension_ultimate": "6000 lbf",
            "shear_ultimate": "4000 lbf",
            "tension_exponent": 2,
            "shear_exponent": 2,
        }
        fittings.append({"name": f"I {corner}", "at": [f"{x} in", f"{y} in", "0 in"], "document": INVENTED,
                         "part": "I-1",
                         "place": "hard point", "bolted": {**carry, "document": INVENTED}})  # fmt: skip
        feet.append({"name": corner, "corner": corner, "fitting": f"I {corner}", "bolt": "AN5", "wear": SELDOM,
                     "stiffness_up": "100000 lbf/in", "stiffness_across": "60000 lbf/in",
                     "document": INVENTED})  # fmt: skip
    return {**out, "floor_fitting": fittings, "foot": feet}


# --- days in the small shop ----------------------------------------------------------------------

_BARS, _LOTS, _PIECES = ("B1", "B2", "B3"), ("L1", "L2"), tuple(f"SN-1/p{n}" for n in range(5))
_STOCK = (*_BARS, *(f"{bar}-R" for bar in _BARS))
_PLATES = ("P1", "P2")


def shop_acts() -> st.SearchStrategy[tuple[Any, ...]]:
    """One act on few bars, lots and pieces, so that acts meet: many are ones that a gate must refuse.

    ("receive", bar, nm, heat, certified)   ("accept", id)          ("issue", bar, pieces)
    ("cut", bar, pieces, kerf, trim, error, keep)                    ("return", bar)
    ("lot", lot, count)                     ("draw", lot, count)    ("make", lot, pieces)
    ("hold", heat)                          ("lift", heat)          ("scrap", piece)
    ("throw", id, tenths)                   ("count", id)           ("bring_back", lot, count)
    """
    pieces = st.lists(st.sampled_from(_PIECES), min_size=1, max_size=3)
    bar, lot, heat = st.sampled_from(_STOCK), st.sampled_from(_LOTS), st.sampled_from(("H1", "H2"))
    length = st.integers(1_000_000, 6_096_000_000)
    few = st.integers(0, 3_175_000)
    return st.one_of(
        st.tuples(st.just("receive"), st.sampled_from(_BARS), length, heat, st.sampled_from((True, True, True, False))),
        st.tuples(st.just("accept"), st.one_of(bar, lot)),
        st.tuples(st.just("accept"), st.one_of(bar, lot)),
        st.tuples(st.just("issue"), bar, pieces),
        st.tuples(st.just("issue"), bar, pieces),
        st.tuples(st.just("cut"), bar, pieces, few, few, st.sampled_from((0, 0, 0, 1, -1)), st.booleans()),
        st.tuples(st.just("cut"), bar, st.none(), few, few, st.just(0), st.booleans()),
        st.tuples(st.just("return"), bar),
        st.tuples(st.just("lot"), lot, st.integers(0, 12)),
        st.tuples(st.just("draw"), lot, st.integers(1, 8)),
        st.tuples(st.just("make"), lot, pieces),
        st.tuples(st.just("hold"), heat),
        st.tuples(st.just("lift"), heat),
        st.tuples(st.just("scrap"), st.sampled_from(_PIECES)),
        st.tuples(st.just("throw"), st.one_of(bar, lot), st.sampled_from((1, 3, 10, 11))),
        st.tuples(st.just("count"), st.one_of(bar, lot)),
        st.tuples(st.just("bring_back"), lot, st.integers(0, 8)),
    )  # fmt: skip


def shop_days(least: int = 5, most: int = 25) -> st.SearchStrategy[list[tuple[Any, ...]]]:
    """A day that begins with stock on the shelf and goes on at random."""
    opening: list[tuple[Any, ...]] = [
        ("receive", "B1", 6_096_000_000, "H1", True), ("accept", "B1"), ("receive", "B2", 3_000_000_001, "H2", True),
        ("accept", "B2"), ("lot", "L1", 10), ("accept", "L1"),
    ]  # fmt: skip
    return st.lists(shop_acts(), min_size=least, max_size=most).map(lambda acts: [*opening, *acts])


def plate_acts() -> st.SearchStrategy[tuple[Any, ...]]:
    """One act on two plates and their remnants, beside those of `shop_acts` that a plate can be named in.

    ("plate", plate, long, wide, heat)
    ("profile_cut", plate, pieces, kerf, tenths of its length that go back, error, label: own, none, a neighbour's)
    """
    pieces = st.lists(st.sampled_from(_PIECES), min_size=1, max_size=3)
    plate = st.sampled_from((*_PLATES, "P1-R", "P1-R-R", "P2-R"))
    side, few = st.integers(1_000_000, 3_000_000_000), st.integers(0, 10**15)
    label = st.sampled_from(("own", "own", "own", "none", "a neighbour's"))
    cut = st.tuples(st.just("profile_cut"), plate, st.none(), few, st.integers(1, 6), st.just(0), label)
    return st.one_of(
        st.tuples(st.just("plate"), st.sampled_from(_PLATES), side, side, st.just("H3")),
        st.tuples(st.just("accept"), plate),
        st.tuples(st.just("issue"), plate, pieces),
        st.tuples(st.just("issue"), plate, pieces),
        cut,
        cut,
        st.tuples(st.just("profile_cut"), plate, pieces, few, st.integers(0, 11), st.sampled_from((0, 0, 1, -1)),
                  label),
        st.tuples(st.just("cut"), plate, pieces, few, few, st.just(0), st.booleans()),
        st.tuples(st.just("return"), plate),
        st.tuples(st.just("make"), plate, pieces),
        st.tuples(st.just("scrap"), st.sampled_from(_PIECES)),
        st.tuples(st.sampled_from(("hold", "lift", "lift")), st.just("H3")),
        st.tuples(st.just("throw"), plate, st.sampled_from((1, 10, 11))),
        st.tuples(st.just("count"), plate),
    )  # fmt: skip


def plate_days(least: int = 5, most: int = 25) -> st.SearchStrategy[list[tuple[Any, ...]]]:
    """As `shop_days`, at the table: two plates signed out, or one cut and its remnant signed out, or that cut too."""
    opening: list[tuple[Any, ...]] = [
        ("plate", "P1", 914_400_001, 304_800_001, "H3"), ("accept", "P1"), ("issue", "P1", ["SN-1/p0"]),
        ("plate", "P2", 600_000_000, 400_000_000, "H3"), ("accept", "P2"), ("issue", "P2", ["SN-1/p1", "SN-1/p2"]),
    ]  # fmt: skip
    later = [("profile_cut", "P1", None, 10**14, 5, 0, "own"), ("issue", "P1-R", ["SN-1/p3"])]
    last = [("profile_cut", "P1-R", None, 10**13, 3, 0, "own"), ("issue", "P1-R-R", ["SN-1/p4"])]
    days = st.sampled_from((opening, [*opening, *later], [*opening, *later, *last]))
    return st.tuples(days, st.lists(plate_acts(), min_size=least, max_size=most)).map(
        lambda day: [*day[0], *day[1]]
    )


@dataclass(frozen=True)
class LastDay:
    """What becomes of a rack on the day before its release: everything done and good, or not."""

    joints_left_out: tuple[str, ...]
    not_measured: tuple[str, ...]
    out_of_limits: tuple[str, ...]
    accepted: bool  # what is out was dispositioned, with the approval holder's document
    weighed: str  # "good", "heavy", "no"
    held: str  # "", or what a hold lies on: heat, piece, serial, lot, other serial
    question: str  # "", open, answered
    points: str = "good"  # good, far from the drawing but the first of its kind, one missing, no

    @property
    def good(self) -> bool:
        """May it be released?"""
        measured = not self.not_measured and (self.accepted or not self.out_of_limits)
        free = self.held in ("", "other serial") and self.question != "open"
        return (
            measured
            and free
            and not self.joints_left_out
            and self.weighed == "good"
            and self.points in ("good", "far")
        )


def last_days(joints: list[str], characteristics: list[str]) -> st.SearchStrategy[LastDay]:
    """Mostly good in each respect, so that a fair share may be released."""

    def some(names: list[str]) -> st.SearchStrategy[tuple[str, ...]]:
        one = st.sampled_from(names).map(lambda name: (name,))
        return st.one_of(st.just(()), st.just(()), st.just(()), one)

    return st.builds(
        LastDay, some(joints), some(characteristics), some(characteristics), st.booleans(),
        st.sampled_from(("good", "good", "good", "heavy", "no")),
        st.sampled_from(("", "", "", "heat", "piece", "serial", "lot", "other serial")),
        st.sampled_from(("", "", "open", "answered")), st.sampled_from(("good", "good", "good", "far", "one", "no")),
    )  # fmt: skip
