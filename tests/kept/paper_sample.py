"""An invented rack, bar, label and dossier, for looking at the papers and for the tests of them.

Nothing here is computed: the numbers are made up to look like a job, and prove nothing but typesetting.
"""

# ruff: noqa: E501  (rows of made-up tables)

from __future__ import annotations

from rackwright.papers.dossier import Dossier
from rackwright.papers.drawing import (
    Fitting,
    Level,
    PartRow,
    PieceHole,
    PieceSketch,
    RackDrawing,
    Ring,
    Solid,
    Strap,
    drawing_svgs,
)  # fmt: skip
from rackwright.papers.house import Attachment, Head
from rackwright.papers.labels import Label
from rackwright.papers.saw_sheet import SawBar, SawCut, SawSheet
from rackwright.papers.table import Facts, Items, Picture, Section, Table, Text, Worked

IN = 25_400_000  # nanometres
DEFINITION = "5be1c0d2a97f43e88c16f0aa3b7d94e2615c08b7d3f2a4419e6d70c5b8a1f3e7"
MARKS = ("DEMO", "PRELIMINARY", "UNCONFIRMED")


def head(title: str, number: str, paper: str = "us-letter", marks: tuple[str, ...] = MARKS) -> Head:
    return Head("Larkspur Rack Works", title, number, "C", "2026-03-02", DEFINITION, marks, paper)


# --- dossier -------------------------------------------------------------------------------------


def dossier() -> Dossier:
    return Dossier(
        head=head("Dossier", "D-LR43-0007"),
        serial="LR43-0007",
        part="LR43-120 Survey rack, helicopter",
        identity=Facts(
            (
                ("Serial", "LR43-0007"),
                ("Part number, revision", "LR43-120, revision C (frozen 2026-02-19, event 118)"),
                ("Order, line", "SO-2291 line 1, three racks"),
                ("Customer", "Cordillera Survey (invented)"),
                ("Aircraft", "Kestrel K-4 (invented), cabin floor stations 112 to 140"),
                ("Basis", "14 CFR 29.561 as amended by 29-38; document KD-4410 rev B"),
            )
        ),
        orientation="Forward in the aircraft is −y of the rack: the face with the controller looks forward. "
        "Datum A is the lower left front corner of the frame; x to the right, y to the rear, z up. "
        "Loads and reactions in this dossier are in aircraft axes unless a table says rack axes.",
        record=Facts(
            (
                ("Events in the record", "264"),
                ("Root", "9f2a 77c1 04be 6ad3 18e5 c0f7 b2d4 9a36 5510 e8cc 41f7 7a02 d3b9 66e1 0c4f 8a25"),
                ("Seal", "LR43-0007.seal beside this file proves that it is whole"),
            ),
            title="Head of the record",
        ),
        outcome="Least margin of safety +0.07: ring R3 as lug, case forward 16 g.",
        state=(
            "PRELIMINARY: question Q3 stands open and blocks release.",
            "UNCONFIRMED: two rows are transcribed and not yet compared with the original page.",
        ),
        sections=(*_engineering(), *_record()),
        attachments=(
            Attachment("definition.json", b'{"format": "rackwright/design/1"}', "application/json", "data",
                       "the definition as resolved"),
            Attachment("events.jsonl", b'{"seq": 1}\n{"seq": 2}\n', "application/x-ndjson", "data",
                       "the serial's events"),
        ),
    )  # fmt: skip


def _engineering() -> tuple[Section, ...]:
    cases = (
        ("forward", "16.0", "0", "0", "0", "−16.0", "0"),
        ("aft", "1.5", "0", "0", "0", "1.5", "0"),
        ("up", "0", "0", "4.0", "0", "0", "4.0"),
        ("down", "0", "0", "−20.0", "0", "0", "−20.0"),
        ("left", "0", "−8.0", "0", "−8.0", "0", "0"),
        ("right", "0", "8.0", "0", "8.0", "0", "0"),
    )
    margins = (*(
        (f"tube.upright.{side}.{n}", case, mode, f"{18.2 + n:.1f} ksi", "42.0 ksi", "1.00",
         f"{'+' if ms >= 0 else '−'}{abs(ms):.2f}", source, mark)
        for n, (side, case, mode, ms, source, mark) in enumerate(
            (
                ("fl", "forward", "bending + axial", 0.31, "MIL-HDBK-5J tbl 3.6.2.0(b1)", "UNCONFIRMED"),
                ("fr", "forward", "bending + axial", 0.33, "MIL-HDBK-5J tbl 3.6.2.0(b1)", "UNCONFIRMED"),
                ("rl", "down", "column buckling", 1.42, "formula card column.johnson", ""),
                ("rr", "right", "net section at hole", 0.88, "MIL-HDBK-5J tbl 3.6.2.0(b1)", "UNCONFIRMED"),
                ("top", "forward", "bearing at bolt", 0.52, "MIL-HDBK-5J tbl 3.6.2.0(b1)", "UNCONFIRMED"),
            )
        )
    ), ("ring.R3", "forward", "lug, shear-out", "2 180 lbf", "2 333 lbf", "1.15", "+0.07", "RD-77 (invented)", ""))  # fmt: skip
    return (
        Section(
            "Definition and what changed",
            (
                Text("The rack follows variation cordillera-43 on standard LR47-100 revision F."),
                Table(
                    "Changes against the standard",
                    ("field", "standard LR47-100 F", "variation", "why", "drawing"),
                    (
                        ("frame.height", "47.000 in", "43.500 in", "door opening of the aircraft", "LR43-120 C"),
                        ("shelf.upper.z", "31.250 in", "28.500 in", "lidar optics window", "LR43-120 C"),
                        ("shelf.middle", "absent", "added at 17.500 in", "third shelf for the recorder", "LR43-120 C"),
                        ("equipment.lidar_controller.mass", "31.0 lb", "44.5 lb", "heavier unit fitted", "LR43-120 C"),
                        ("ring.R1..R4.direction", "out, 45° down", "fore and aft, 40° down", "floor fittings F1 to F4", "LR43-121 A"),
                    ),
                    align="irrli",
                ),
            ),
        ),
        Section(
            "The rack",
            (Picture(drawing_svgs(rack_drawing())[0], "General arrangement of the rack", "Sheet 1 of LR43-120", 0.9),),
        ),
        Section(
            "Open questions",
            (
                Table(
                    "",
                    ("id", "question", "owner", "due", "blocks", "state", "answer"),
                    (
                        ("Q1", "Rating of floor fitting F2", "customer", "2026-02-12", "sign-out", "answered", "5 000 lbf, KD-4410 rev B p. 12"),
                        ("Q3", "Strap stretch curve from the maker's document", "engineering", "2026-03-09", "release", "open", ""),
                    ),
                    align="illllll",
                ),
            ),
            marks=("PRELIMINARY",),
        ),
        Section(
            "Basis and load cases",
            (
                Text("Emergency landing conditions act one at a time and are ultimate."),
                Table(
                    "Inertia factors",
                    ("case", "aircraft X fwd", "Y right", "Z up", "rack x", "rack y", "rack z"),
                    cases, align="lrrrrrr",
                    note="Sign: direction of the inertia load. Fitting factor 1.15 where noted (29.625).",
                ),
                Text("Load factors are those named in document KD-4410 by the customer.", "note"),
            ),
        ),
        Section(
            "Mass and centre of gravity",
            (
                Table(
                    "",
                    ("condition", "mass", "x", "y", "z", "Ixx", "Iyy", "Izz"),
                    (
                        ("bare", "38.41 lb", "12.02 in", "13.00 in", "20.87 in", "9 812 lb·in²", "9 430 lb·in²", "5 011 lb·in²"),
                        ("loaded", "171.91 lb", "12.11 in", "12.74 in", "22.35 in", "41 210 lb·in²", "40 066 lb·in²", "19 874 lb·in²"),
                    ),
                    align="lrrrrrrr",
                ),
            ),
        ),
        Section(
            "Idealisation and assumptions",
            (
                Items(
                    (
                        "Tubes are Timoshenko members between stiff block ends; joints carry bending through the spigot.",
                        "Straps carry tension only, pads compression only; the active set is found in every case.",
                        "Equipment acts at its centre of gravity through its mounting screws.",
                    )
                ),
                Text("No friction is taken at the floor.", "caution"),
            ),
        ),
        Section(
            "Reactions at the floor fittings",
            (
                Table(
                    "Aircraft axes, ultimate",
                    ("fitting", "case", "X", "Y", "Z", "resultant", "rating"),
                    tuple(
                        (f"F{1 + n % 4}", cases[n // 4][0], f"{311 * n % 977} lbf", f"{97 * n % 251} lbf",
                         f"{1180 - 13 * n} lbf", f"{1270 + 7 * n} lbf", "5 000 lbf")
                        for n in range(24)
                    ), align="ilrrrrr",
                ),
            ),
        ),
        Section(
            "Governing margins",
            (
                Table(
                    "",
                    ("item", "case", "mode", "applied, ultimate", "allowable", "factor", "M.S.", "source", "marks"),
                    margins, align="illrrrrll",
                    note="Margin of safety = allowable / (factor × applied) − 1. Least first in each mode.",
                ),
            ),
            marks=("UNCONFIRMED",),
        ),
        Section(
            "Governing margins worked",
            (
                Worked(
                    "Ring R3 as lug, case forward", "MS = P_allow / (FF · P_applied) − 1",
                    "MS = 2 333 lbf / (1.15 × 1 896 lbf) − 1 = 0.070", "Margin of safety +0.07",
                    "formula card lug.margin; RD-77 (invented) table 2",
                    formula_typst="M S = P_\"allow\" / (F F dot P_\"applied\") - 1",
                    inputs=(
                        ("P_allow", "2 333 lbf", "allowable of ring RD-77-3, document RD-77 (invented)"),
                        ("P_applied", "1 896 lbf", "strap S3, case forward, ultimate"),
                        ("FF", "1.15", "fitting factor, 14 CFR 29.625"),
                    ),
                ),
                Worked(
                    "Upright front left, bending and axial, case forward",
                    "MS = 1 / (f_a/F_a + f_b/F_b) − 1",
                    "MS = 1 / (2 110 psi / 42 000 psi + 29 900 psi / 42 000 psi) − 1 = 0.312",
                    "Margin of safety +0.31", "formula card beam.interaction; MIL-HDBK-5J table 3.6.2.0(b1)",
                    formula_typst="M S = 1 / (f_a / F_a + f_b / F_b) - 1",
                    inputs=(
                        ("f_a", "2 110 psi", "axial stress, ultimate, at station 14.2 in"),
                        ("f_b", "29 900 psi", "bending stress, ultimate, same place"),
                        ("F_a = F_b", "42 000 psi", "Ftu drawn tube 6061-T6, A basis"),
                    ),
                    marks=("UNCONFIRMED",),
                ),
            ),
        ),
        Section(
            "First modes",
            (Table("", ("mode", "frequency", "shape"),
                   (("1", "14.2 Hz", "sway fore and aft"), ("2", "17.9 Hz", "sway left and right"),
                    ("3", "26.0 Hz", "twist")), align="rrl"),),
        ),
    )  # fmt: skip


def _record() -> tuple[Section, ...]:
    pieces = tuple(
        (
            f"P-{700 + n:04d}",
            f"LR43-2{n:02d}",
            "tube 1.5 × 1.5 × .125",
            f"H{4400 + n % 3}",
            f"MC-{n % 3 + 17}",
            "accepted",
        )
        for n in range(34)
    )
    measured = tuple(
        (f"P-{700 + n:04d}", "length", "40.500 in", "40.490 to 40.510 in", f"{40.4985 + n * 1e-4:.4f} in",
         "caliper G-014", "within limits" if n != 5 else "outside: dispositioned, NC-3")
        for n in range(12)
    )  # fmt: skip
    events = tuple(
        (str(180 + n), f"2026-02-{20 + n // 6:02d} {8 + n % 6:02d}:1{n % 6}", kind, "R. Alder")
        for n, kind in enumerate(
            ("issue", "cut", "cut", "measure", "measure", "coat", "bake", "assemble", "measure")
        )
    )
    return (
        Section(
            "Pieces",
            (Table("", ("piece", "part no.", "stock", "heat", "certificate", "state"), pieces, align="iiliil"),),
        ),
        Section(
            "Measurements",
            (
                Table(
                    "",
                    ("piece", "characteristic", "nominal", "limits", "measured", "gauge", "result"),
                    measured,
                    align="ilrrrll",
                ),
            ),
        ),
        Section("Events", (Table("", ("seq", "time (UTC)", "type", "by"), events, align="rlll"),)),
        Section(
            "What is not covered",
            (
                Items(
                    (
                        "The aircraft floor and its structure beyond the rating of each fitting.",
                        "Random vibration, crash pulses and fatigue.",
                        "Electrical bonding, flammability and equipment qualification.",
                    )
                ),
            ),
        ),
        Section(
            "References",
            (
                Table(
                    "",
                    ("document", "title", "how known"),
                    (
                        ("KD-4410 rev B", "Kestrel K-4 floor and interface data (invented)", "given by the customer"),
                        ("MIL-HDBK-5J", "Metallic materials and elements for aerospace vehicle structures", "transcribed"),
                        ("RD-77", "Tie-down ring test report (invented)", "invented"),
                    ),
                ),
            ),
        ),
    )  # fmt: skip


# --- saw -----------------------------------------------------------------------------------------


def saw_sheet() -> SawSheet:
    kerf, trim = 2_362_200, 12_700_000

    def cuts(*lengths: float, first: int = 0) -> tuple[SawCut, ...]:
        return tuple(
            SawCut(f"P-{700 + first + n:04d}", f"LR43-2{n + first:02d}", f"LR43-000{7 + n % 3}",
                   round(inch * IN), round(inch * IN) + 254, kerf)
            for n, inch in enumerate(lengths)
        )  # fmt: skip

    stock = "6061-T6 drawn square tube 1.500 × 1.500 × .125 in, AMS-WW-T-700/6"
    return SawSheet(
        head=head("Saw sheet", "S-2291-1", marks=("DEMO",)),
        setup=Facts(
            (
                ("Job", "SO-2291 line 1, three racks LR43-120 revision C"),
                ("Machine, blade", "saw 2, blade B-31 (80 teeth, aluminium)"),
                ("Kerf", ".0930 in, measured 2026-02-27"),
                ("Stop scale", "checked against master bar M-1 at 71 °F; compensated for 78 °F"),
                ("Clamp tail", "2.500 in, always left in the last piece of a bar"),
            )
        ),
        bars=(
            SawBar("B-0041", "H4401", stock, 240 * IN, trim,
                   cuts(40.5, 40.5, 40.5, 40.5, 21, 21, 21), "R-0102", "rack A3", "MC-18"),
            SawBar("B-0042", "H4401", stock, 240 * IN + 127_000, trim,
                   cuts(40.5, 40.5, 40.5, 23, 23, 23, 23, 21, first=7), "", "rack A3", "MC-18"),
            SawBar("R-0077", "H4388", stock, 61 * IN + 317_500, trim, cuts(23, 23, first=15), "R-0103",
                   "rack C1", "MC-12"),
        ),
        totals=Facts(
            (
                ("Stock value used", "$ 412.66, after $ 31.20 credit for remnants"),
                ("Proven lower bound", "$ 412.66: no plan on this stock costs less (grid .001 in)"),
                ("Gap", "$ 0.00 (0.0 %)"),
                ("First fit, for comparison", "$ 441.02"),
            )
        ),
        balance=Table(
            "Balance of inches",
            ("stock", "taken", "pieces", "kerf", "trim", "remnants", "scrap", "left over"),
            (("1.5 tube", "541.518", "502.000", "1.581", "1.500", "30.437", "6.000", "0.000"),),
            align="lrrrrrrr",
        ),
        cautions=(
            "Guard down, clamp both sides of the blade, no gloves at a turning blade.",
            "Keep aluminium and steel chips apart.",
            "Label the remnant before the next cut.",
        ),
    )  # fmt: skip


# --- labels --------------------------------------------------------------------------------------


def labels() -> tuple[Label, ...]:
    tube = "6061-T6 drawn tube 1.5 × 1.5 × .125 in"
    pieces = tuple(
        Label("PIECE", f"P-{700 + n:04d}", f"H440{n % 3}", tube, "40.500 in", f"LR43-2{n:02d}",
              f"LR43-000{7 + n % 3}", "SO-2291", marks=("DEMO",))
        for n in range(12)
    )  # fmt: skip
    return (
        *pieces,
        Label("BAR", "B-0041", "H4401", tube, "240.000 in", note="rack A3", marks=("DEMO",)),
        Label("REMNANT", "R-0102", "H4401", tube, "13.849 in", job="SO-2291", marks=("DEMO",), count=2),
        Label("PIECE", "P-0000000000000000000711", "HEAT-2026-WEST-MILL-000441-B", tube + " with a long description of its form",
              "40.500 in", "LR43-200-A-LEFT-HAND-UPRIGHT-ASSEMBLY", "LR43-0007-REWORK-2", "SO-2291-LINE-1-LOT-A"),
    )  # fmt: skip


# --- drawing -------------------------------------------------------------------------------------


def rack_drawing(paper: str = "us-letter") -> RackDrawing:
    """24 × 26 × 43.5 in of 1.5 in tube with blocks at the corners, three shelves, rails, four rings."""
    w, d, h, t = 24.0, 26.0, 43.5, 1.5
    solids: list[Solid] = []

    def add(name: str, kind: str, item: str, lo: tuple[float, ...], hi: tuple[float, ...]) -> None:
        a, b = (tuple(round(v * IN) for v in p) for p in (lo, hi))
        solids.append(Solid(name, kind, name, (a[0], a[1], a[2]), (b[0], b[1], b[2]), item))

    for i, x in enumerate((0, w - t)):
        for j, y in enumerate((0, d - t)):
            add(f"upright.{i}{j}", "tube", "1", (x, y, t), (x + t, y + t, h - t))
            for k, z in enumerate((0, h - t)):
                add(f"block.{i}{j}{k}", "block", "4", (x, y, z), (x + t, y + t, z + t))
            add(f"pad.{i}{j}", "pad", "9", (x, y, -0.25), (x + t, y + t, 0))
        for k, z in enumerate((0, h - t)):
            add(f"long.{i}{k}", "tube", "3", (x, t, z), (x + t, d - t, z + t))
        side = 1.5 if i == 0 else w - t - 0.75
        for j, y in enumerate((2.0, d - 3.0)):
            add(f"rail.{i}{j}", "rail", "6", (side, y, 3), (side + 0.75, y + 1.0, h - 3))
    for j, y in enumerate((0, d - t)):
        for k, z in enumerate((0, h - t)):
            add(f"cross.{j}{k}", "tube", "2", (t, y, z), (w - t, y + t, z + t))
    for name, z in (("lower", 4.0), ("middle", 17.5), ("upper", 28.5)):
        add(f"shelf.{name}", "shelf", "5", (2.25, 1.5, z - 0.125), (w - 2.25, d - 1.5, z))
        for i, x in enumerate((1.5, w - 2.25)):
            add(f"angle.{name}.{i}", "angle", "7", (x, 3.0, z - 0.875), (x + 0.75, d - 3.0, z - 0.125))
    add("RECORDER", "keep-out", "", (3, 4, 4.0), (21, 22, 14.0))
    add("POWER", "keep-out", "", (3, 4, 17.5), (21, 22, 25.0))
    add("LIDAR CONTROLLER", "keep-out", "", (3, 3, 28.5), (21, 23, 40.0))
    rings, straps, fittings = [], [], []
    for n, (x, y) in enumerate(((0.0, 0.0), (w, 0.0), (0.0, d), (w, d)), 1):
        sx, sy = (-1 if x == 0 else 1), (-1 if y == 0 else 1)
        eye = (round((x + 0.6 * sx) * IN), round((y + 0.6 * sy) * IN), round(30 * IN))
        foot = (round((x + 6 * sx) * IN), round((y + 22 * sy) * IN), round(-0.25 * IN))
        rings.append(Ring(f"R{n}", eye, (0.15 * sx, 0.55 * sy, -0.82), "8"))
        straps.append(Strap(f"S{n}", eye, foot))
        fittings.append(Fitting(f"F{n}", foot, "5 000 lbf, KD-4410 rev B (invented)"))
    parts = (
        PartRow("1", "LR43-201", "Upright", "4", "tube 1.5 sq × .125, 6061-T6", "40.500 in"),
        PartRow("2", "LR43-202", "Cross member", "4", "tube 1.5 sq × .125, 6061-T6", "21.000 in"),
        PartRow("3", "LR43-203", "Long member", "4", "tube 1.5 sq × .125, 6061-T6", "23.000 in"),
        PartRow("4", "LR43-210", "Corner block, handed: see piece sheets", "8", "plate 2.0, 6061-T651"),
        PartRow("5", "LR43-220", "Shelf", "3", "sheet .125, 6061-T6", "19.500 × 23.000 in"),
        PartRow(
            "6", "LR43-230", "Equipment rail, 19 inch", "4", "angle .75 × 1.0 × .125, 6061-T6", "37.500 in"
        ),
        PartRow("7", "LR43-240", "Shelf angle", "6", "angle .75 × .75 × .125, 6061-T6", "20.000 in"),
        PartRow("8", "RD-77-3", "Tie-down ring (invented)", "4"),
        PartRow("9", "LR43-250", "Floor pad", "4", "rubber sheet .25"),
        PartRow("10", "AN4-20A", "Bolt, grip 1.6 in", "32"),
        PartRow("11", "AN960-416", "Washer", "64"),
        PartRow("12", "MS21044N4", "Nut, self-locking", "32"),
    )
    return RackDrawing(
        head("Survey rack", "LR43-120", paper), tuple(solids), parts, (0.0, -1.0, 0.0), (0, 0, 0), "A",
        tuple(rings), tuple(straps), tuple(fittings),
        (Level("shelf lower", 4 * IN), Level("shelf middle", round(17.5 * IN)), Level("shelf upper", round(28.5 * IN)),
         Level("ring eyes", 30 * IN), Level("top of frame", round(43.5 * IN))),
        ("Deburr; break edges .010 to .020.", "Bond pads at the lower blocks are free of coating."),
        ("Unless noted: three places ± .010, angles ± 0.5°.",),
    )  # fmt: skip


def piece_sketches() -> tuple[PieceSketch, ...]:
    def hole(face: int, along: float, across: float = 0.0, dia: float = 0.25, note: str = "") -> PieceHole:
        return PieceHole(face, round(along * IN), round(across * IN), round(dia * IN), note)

    ends = [hole(face, at) for face in (0, 1) for at in (0.75, 1.35, 39.15, 39.75)]
    shelf = [hole(1, z, off, 0.19, "shelf angle") for z in (2.1, 15.6, 26.6) for off in (-0.3, 0.3)]
    return (
        PieceSketch("P-0700", "LR43-201", "Upright, front left, tube 1.5 sq × .125 6061-T6", round(40.5 * IN),
                    round(1.5 * IN), (*ends, *shelf), notes=("Drill through with jig J-7; deburr both sides.",)),
        PieceSketch("P-0755", "LR43-260", "Spacer", 2 * IN, round(1.5 * IN), (hole(0, 1.0), hole(2, 1.0))),
    )  # fmt: skip
