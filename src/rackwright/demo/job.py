"""Everything the played order works on, and what an act is: its id, who does it, the day, the call."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from hashlib import shake_256

from rackwright.design import Design
from rackwright.plan import Plan
from rackwright.record import Appended
from rackwright.shop import Shop, StockBar, StockItem
from rackwright.work.office.ordering import revision_id
from rackwright.work.station import Station

__all__ = [
    "AIRCRAFT",
    "ASSEMBLER",
    "CHECKER",
    "CUSTOMER",
    "DUE",
    "ENGINEER",
    "GAUGES",
    "GAUGE_OF",
    "INSPECTOR",
    "LATER",
    "LEAD",
    "MACHINIST",
    "ORDER",
    "PEOPLE",
    "REPORT",
    "SAWYER",
    "SECRETS",
    "STORES",
    "SUPPLIER",
    "Act",
    "Job",
    "chance_of",
    "rack_serials",
]  # fmt: skip

ORDER, CUSTOMER, DUE = "PO-2231", "Corrie & Tarn Survey (invented)", "2026-04-17"
LATER = "2"  # the line of the last rack, due later than the others
AIRCRAFT = ("0007", "0008", "0009")  # of the customer, a rack each
LEAD, STORES, SAWYER, MACHINIST, ASSEMBLER, INSPECTOR, ENGINEER, CHECKER = (
    "A. Quill", "B. Tarrow", "C. Vint", "D. Sorley", "F. Ansty", "E. Lund", "G. Marl", "H. Orrest",
)  # fmt: skip
#: what each person of the demo signs with: a password of the lead, a PIN of the others; as known to everybody as the
#: key, and only here a thing of the program
SECRETS = {LEAD: "everyone knows this one", STORES: "3141", SAWYER: "2718", MACHINIST: "1618", ASSEMBLER: "1414",
           INSPECTOR: "1732", ENGINEER: "2236", CHECKER: "2645"}  # fmt: skip
REPORT = "SR-118"
SUPPLIER = "Fellside Conversion (invented)"
PEOPLE = {STORES: ("receiving",), SAWYER: ("saw", "inspector"), MACHINIST: ("machining",), ASSEMBLER: ("assembly",),
          INSPECTOR: ("inspector",), ENGINEER: ("engineer",), CHECKER: ("engineer",)}  # fmt: skip
GAUGES = (
    ("LB-2", "length bench, 60 in", "2026-09-01", "0.002 in"),
    ("HG-5", "height gauge, 48 in", "2026-08-12", "0.001 in"),
    ("MI-3", "micrometer, 1 to 2 in", "2026-07-30", "0.0002 in"),
    ("PR-1", "protractor", "2026-10-05", "0.2 deg"),
    ("FG-9", "film gauge", "2026-06-18", "0.1 mil"),
    ("BM-4", "bond meter, four-wire", "2026-05-29", "0.05 mohm"),
    ("TW-6", "torque wrench, 10 to 150 in*lbf", "2026-06-30", "2 in*lbf"),
    ("CM-2", "coordinate measuring arm, 6 ft", "2026-09-18", "0.001 in"),
    ("SC-1", "four floor scales", "2026-11-15", "0.1 lb"),
    ("BW-2", "ball micrometer, 0 to 1 in", "2026-10-14", "0.0002 in"),
    ("EC-1", "eddy-current conductivity meter", "2026-08-31", "0.3 MS/m"),
    ("HT-3", "hardness tester", "2026-07-02", "1 HRB"),
    ("SC-2", "bench scale, 50 lb", "2026-11-15", "0.01 lb"),
    ("TH-7", "thermometer of the store", "2026-12-01", "0.5 degC"),
    ("CA-11", "caliper, 40 in", "2026-02-20", "0.002 in"),
    ("CA-12", "caliper with depth rod, 6 in", "2026-08-21", "0.001 in"),
    ("ST-1", "stop, of saw S1", "2026-09-14", "0.002 in"),
    ("D-3", "die, radius 1/4 in", "2026-12-01", "0.002 in"),
    ("BU-47", "bushings, of jig J-47", "2026-08-05", "0.0005 in"),
    ("J-47", "jig, of the frame", "2026-08-05", "0.003 in"),
    ("TC-8", "thermocouples, of oven O-3", "2026-06-10", "2 degF"),
    ("OS-3", "oven survey, of oven O-3", "2026-06-10", "5 degF"),
)
#: kind of gauge that a characteristic asks for -> the shop's gauge
GAUGE_OF = {"length bench": "LB-2", "height gauge": "HG-5", "micrometer": "MI-3", "protractor": "PR-1",
            "film gauge": "FG-9", "bond meter": "BM-4", "caliper": "CA-12"}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Job:
    """Everything the played order works on."""

    design: Design
    texts: dict[str, bytes]  # what is frozen
    plan: Plan
    shop: Shop
    bars: tuple[StockBar, ...]
    items: tuple[StockItem, ...]
    bakes: dict[str, bytes]  # thermocouple files of the oven, in the order of the runs
    key_id: str

    @property
    def revision(self) -> str:
        return revision_id(self.design)


@dataclass(frozen=True)
class Act:
    """One act: its id, who does it, the day, the call, and whether a gate is expected to say no."""

    id: str
    person: str
    day: str
    do: Callable[[Station, str], Appended]
    refused: str = ""  # the code of the refusal that is expected


def chance_of(act_id: str) -> Callable[[int], bytes]:
    """What the demo has for chance: of each act the same, so that two runs are alike."""
    return lambda size: shake_256(act_id.encode()).digest(size)


def rack_serials(job: Job) -> tuple[str, ...]:
    """One serial number a rack of the order."""
    part = job.design.rack.definition.part.replace("-", "")
    return tuple(f"{part}-{n:04d}" for n in range(1, job.plan.racks + 1))
