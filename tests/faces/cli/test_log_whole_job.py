"""A rack from the empty folder to its shipment with nothing but what is typed: no act needs Python."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

import small_shop as small
from faces.cli.shop_desk import DEMO, Run, answer, by_name, certificates_only, runner
from rackwright import record as records
from rackwright.demo.job import GAUGES
from rackwright.making.assembly import assembly
from rackwright.making.fasteners import parts_of
from rackwright.pieces.weight import on_pads
from rackwright.record import State, project
from rackwright.units import unit_factor

PO, SERIAL, REVISION = "PO-7", "V1", "ER-47 rev D"
TRIM, KERF = 6_350_000, 3_175_000  # nm


class Desk:
    """The command line of one shop's folder."""

    def __init__(self, run: Run, folder: Path) -> None:
        self.run, self.folder = run, folder

    def log(self, who: str, type: str, *words: str, code: int = 0) -> Any:
        return answer(
            self.run, "log", type, "--by", small.PEOPLE[who], *words, "--shop", self.folder, code=code
        )

    def state(self) -> State:
        with records.open(self.folder / "record.db") as record:
            return project(record.events())


@pytest.fixture
def desk(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Desk:
    run, folder = runner(capsys, monkeypatch), tmp_path / "shop"
    answer(run, "new", folder, "--name", "Fell Bench Works (invented)", "--by", small.PEOPLE["lead"])
    by_name(folder, small.PEOPLE["lead"])
    (folder / "standards" / "er-47.toml").write_text(small.text(), "utf-8")
    for name in ("stock.toml", "shop.toml"):  # nothing in them grows too old while these tests are run
        (folder / name).write_text((DEMO / name).read_text("utf-8").replace('= "2026-', '= "2099-'), "utf-8")
    return Desk(run, folder)


@pytest.mark.long
def test_from_the_empty_folder_to_the_shipment(desk: Desk) -> None:
    _founded(desk)
    _ordered(desk)
    _made(desk)
    _inspected(desk, "before coat")
    _coated(desk)
    _inspected(desk, "after coat")
    _signed(desk, "inspect_film")
    _assembled(desk)
    _signed(desk, "assemble")
    _inspected(desk, "assembled")
    _measured_points(desk)
    _signed(desk, "inspect")
    _weighed(desk)
    refused = desk.log("inspector", "release", f"serial={SERIAL}", code=1)
    assert [one["code"] for one in refused["trouble"]] == ["RW556"]
    _burnt(desk)
    refused = desk.log("inspector", "release", f"serial={SERIAL}", code=1)
    assert [one["code"] for one in refused["trouble"]] == ["RW535"]
    desk.log("engineer", "without_report", f"revision={small.revision()}", "reason=the holder has its own")
    released = desk.log("inspector", "release", f"serial={SERIAL}")
    assert released["recorded"][0]["body"]["margins"]
    desk.log("lead", "ship", f"serials={SERIAL}", "to=A survey", "document=DN-9")
    assert desk.state().serials[SERIAL].state == "shipped"
    audit = answer(desk.run, "audit", desk.folder)
    assert audit["answers"] == {"whole": True, "balanced": True, "believed": True}


def _burnt(desk: Desk) -> None:
    """Type tests of powder and sealant, and what the lead says is not owed."""
    (desk.folder / "ft-1.pdf").write_bytes(b"an invented report")
    powder, sealant = small.BURNS
    desk.log("inspector", "evidence", f"evidence={powder}", "document=FT-1", "date=2026-03-02", "file=ft-1.pdf",
             "tested_by=a laboratory", f"revision={REVISION}")  # fmt: skip
    desk.log("lead", "evidence_owed", f"evidence={sealant}", f"order={PO}", "document=MAIL-3",
             "not_owed=the customer holds a test of its own")  # fmt: skip
    shown = answer(desk.run, "trace", "serial", SERIAL, "--shop", desk.folder)["evidence"]
    assert {row["evidence"]: row["stands"] for row in shown}[sealant].startswith(
        "not owed: the customer holds"
    )


def _founded(desk: Desk) -> None:
    certificates_only(desk.folder)
    for who, roles in small.ROLES.items():
        desk.log("lead", "person", f"person={small.PEOPLE[who]}", f"roles={', '.join(roles)}")
    spread = {gauge: text for gauge, _, _, text in GAUGES}
    for kind, gauge in small.GAUGES.items():
        desk.log(
            "lead",
            "gauge",
            f"gauge={gauge}",
            f"kind={kind}",
            "due=2999-01-01",
            f"uncertainty={spread[gauge]}",
        )
    desk.log("lead", "gauge", "gauge=OS-3", "kind=oven survey, of oven O-3", "due=2999-01-01",
             "uncertainty=5 degF")  # fmt: skip
    desk.log("stores", "receive")
    sound = [id for id in desk.state().stock if id not in ("T-06", "T-07")]
    desk.log("inspector", "accept", f"stock_id={', '.join(sound)}")


def _ordered(desk: Desk) -> None:
    file = desk.folder / "standards" / "er-47.toml"
    desk.log("lead", "order", f"order={PO}", "customer=A survey", f"file={file}", "quantity=1", "due=2999-06-01",
             "document=CT-1")  # fmt: skip
    answer(desk.run, "freeze", file, "--by", small.PEOPLE["lead"], "--order", PO, "--shop", desk.folder)
    desk.log("lead", "serial", f"order={PO}", f"revision={REVISION}", f"serials={SERIAL}")
    desk.log("lead", "approval_reference", f"revision={REVISION}", "reference=DA-1", "holder=An invented holder",
             "document=DA-1 rev A", "date=2026-03-09")  # fmt: skip


def _made(desk: Desk) -> None:
    sawn = sorted(small.design().pieces.sawn, key=lambda piece: -(piece.length or 0))
    order = (f"job={PO}", f"revision={REVISION}")
    for bar in [
        bar for bar in desk.state().stock.values() if bar.section == small.TUBE and bar.state == "accepted"
    ]:
        left, load = bar.length_nm - TRIM, []
        for piece in list(sawn):
            need = (piece.length or 0) + KERF
            if need <= left:
                left -= need
                load.append(piece)
                sawn.remove(piece)
        if load:
            ids = {f"{SERIAL}/{piece.id}": piece.length or 0 for piece in load}
            desk.log("sawyer", "issue", f"stock_id={bar.stock_id}", *order, f"pieces={', '.join(ids)}")
            made = ", ".join(f"{id}={_mm(nm)}" for id, nm in ids.items())
            desk.log("sawyer", "cut", f"stock_id={bar.stock_id}", f"job={PO}", f"pieces={made}",
                     f"kerf={_mm(KERF * len(ids))}", f"trim={_mm(TRIM)}", f"rest={_mm(left)}", "machine=S1",
                     *([f"remnant={bar.stock_id}-R", f"label={bar.stock_id}-R"] if left else []))  # fmt: skip
    assert not sawn
    counted = [stock for stock in desk.state().stock.values() if stock.quantity]
    _profile_cut(desk, order)
    for section in {p.section for p in small.design().pieces.made if p.kind != "ring"} - {small.TUBE}:
        of_it = _ids(
            *(p.kind for p in small.design().pieces.made if p.section == section and p.kind != "ring")
        )
        stock = next(one for one in counted if one.section == section and one.quantity >= len(of_it))
        desk.log("machinist", "piece", f"stock_id={stock.stock_id}", *order, f"pieces={', '.join(of_it)}")
    desk.log("machinist", "mill", f"pieces={', '.join(_ids('block'))}", "machine=M1")
    desk.log("machinist", "bend", f"pieces={', '.join(_ids('ring'))}", "machine=B1", "values=angle=45.1 deg")
    every = f"pieces={', '.join(_ids())}"
    early = desk.log("assembler", "operation", "step=fit_up", every, code=1)
    assert early["trouble"][0]["code"] == "RW555"
    _signed(desk, "mill", "bend")
    desk.log("assembler", "operation", "step=fit_up", every)
    _signed(desk, "fit_up")
    desk.log("assembler", "drill", every, "machine=jig J-47")
    for step in ("take_apart", "deburr"):
        desk.log("assembler", "operation", f"step={step}", every)


def _signed(desk: Desk, *points: str) -> None:
    for point in points:
        desk.log("inspector", "hold_point", f"point={point}", f"serials={SERIAL}", "remarks=as found")


def _profile_cut(desk: Desk, order: tuple[str, str]) -> None:
    """Rings from a plate; what is beyond a foot of it goes back, and is told as typed or in a file."""
    rings = f"pieces={', '.join(_ids('ring'))}"
    desk.log("machinist", "issue", "stock_id=P-41", *order, rings)
    cut = ("profile_cut", "stock_id=P-41", f"job={PO}", "machine=J1")
    rest = "12 in x 0 in; 36 in x 0 in; 36 in x 12 in; 12 in x 12 in"
    desk.log("machinist", *cut, f"remnants=P-41-R1={rest}", code=1)  # no label
    desk.log("machinist", *cut, "remnants=P-41-R1=12 in; 36 in", "labels=P-41-R2=L-12", code=2)
    desk.log("machinist", *cut, f"remnants=P-41-R1={rest}", "labels=P-41-R2=L-12", code=2)
    desk.log("machinist", *cut, f"pieces={SERIAL}/post.front-left", code=2)
    file = desk.folder / "rest.toml"
    corners = [[f"{x} in", f"{y} in"] for x, y in ((12, 0), (36, 0), (36, 12), (12, 12))]
    file.write_text(f"[remnants]\nP-41-R1 = {corners}\n[labels]\nP-41-R1 = 'L-12'\n", "utf-8")
    done = desk.log("machinist", *cut, "--from", file)["recorded"][0]["body"]
    assert len(done["pieces"]) == len(_ids("ring"))
    rest_of_it = desk.state().stock["P-41-R1"]
    assert (rest_of_it.heat, rest_of_it.label) == ("K9921", "L-12")
    assert rest_of_it.outline == small.rectangle(small.nm("24 in"), small.nm("12 in"))


def _inspected(desk: Desk, stage: str) -> None:
    for readings in small.by_piece_and_gauge(stage):
        first = next(iter(readings))
        said = ", ".join(f"{one.name}={value}" for one, value in readings.items())
        desk.log("inspector", "measure", f"piece={SERIAL}/{first.piece}", f"readings={said}",
                 f"gauge={small.GAUGES[first.gauge]}")  # fmt: skip


def _coated(desk: Desk) -> None:
    coated = f"pieces={', '.join(small.coated_pieces(SERIAL))}"
    powder = next(one.lot for one in desk.state().stock.values() if one.form == "powder")
    for wrong in (("point=drill", f"serials={SERIAL}"), ("point=bake",), ("point=bake", "pieces=post"),
                  ("point=assemble", f"pieces={SERIAL}/post.front-left"), ("point=bake", "serials=V9")):  # fmt: skip
        desk.log(
            "inspector", "hold_point", *wrong, code=1 if wrong[-1] in ("serials=V9", "pieces=post") else 2
        )
    _signed(desk, "inspect_metal")
    desk.log("assembler", "operation", "step=pretreat", coated)
    desk.log("assembler", "coat", coated, f"lots={powder}")
    oven, short = DEMO / "oven" / "bake-1.csv", DEMO / "oven" / "bake-2.csv"
    refused = desk.log(
        "assembler", "bake", coated, "machine=oven O-3", "gauges=OS-3", "--from", str(short), code=1
    )
    assert refused["trouble"][0]["code"] == "RW519"
    desk.log("assembler", "bake", coated, "machine=oven O-3", "gauges=OS-3", "--from", str(oven))
    with records.open(desk.folder / "record.db") as record:
        files = [event.refs.files for event in record.events() if event.body.get("code") == "RW519"]
        assert [record.get_file(name) for name in files[0]] == [short.read_bytes()], (
            "the refusal names what it saw"
        )
    _signed(desk, "bake")
    blocks = f"pieces={', '.join(_ids('block'))}"
    desk.log("assembler", "operation", "step=bond_pads", blocks)


def _assembled(desk: Desk) -> None:
    design = small.design()
    parts: Counter[str] = Counter()
    for bolt in design.pieces.bolts:
        for (part, _), number in parts_of(bolt, design.rack.rows).items():
            parts[part] += number
    for part, number in parts.items():
        lot = next(
            one for one in desk.state().stock.values() if one.section == part and one.quantity >= number
        )
        desk.log("assembler", "issue", f"stock_id={lot.stock_id}", f"job={PO}", f"revision={REVISION}",
                 f"serials={SERIAL}", f"quantity={number}")  # fmt: skip
    joints = [joint for joint in assembly(design, small.shop()).ours if joint.torque is not None]
    torque = {joint.id: f"{(joint.torque.low + joint.torque.high) / 2 / float(unit_factor('in*lbf')) + 4:.1f} in*lbf"
              for joint in joints if joint.torque}  # fmt: skip
    with_wrench = (f"serial={SERIAL}", "jig=J-47", "wrench=TW-6")
    missing = desk.log("assembler", "assemble", *with_wrench, f"torque={_pairs(torque)}",
                       f"running={_pairs(dict.fromkeys(list(torque)[1:], '4 in*lbf'))}", code=2)  # fmt: skip
    assert [one["field"] for one in missing["trouble"]] == [f"{joints[0].id}.running"]
    loose = desk.log("assembler", "assemble", *with_wrench, f"torque={joints[0].id}=20 ft*lbf",
                     f"running={joints[0].id}=4 in*lbf", code=1)  # fmt: skip
    assert loose["trouble"][0]["code"] == "RW521"
    half = list(torque)[: len(torque) // 2]
    for some in (half, [joint for joint in torque if joint not in half]):
        chosen = {joint: torque[joint] for joint in some}
        desk.log("assembler", "assemble", *with_wrench, f"torque={_pairs(chosen)}",
                 f"running={_pairs(dict.fromkeys(some, '4 in*lbf'))}",
                 *([f"pieces={', '.join(_ids())}"] if some is half else []))  # fmt: skip


def _measured_points(desk: Desk) -> None:
    file = desk.folder / "points.csv"
    assert (
        desk.log("inspector", "passport", f"serial={SERIAL}", "gauge=CM-2", code=2)["trouble"][0]["field"]
        == "--from"
    )
    file.write_bytes(small.points(ring="0.003"))
    desk.log("inspector", "passport", f"serial={SERIAL}", "gauge=CM-2", "--from", str(file))
    found = answer(desk.run, "passport", SERIAL, "--shop", desk.folder)
    assert found["most_fixed"]["in"] == pytest.approx(0.003, abs=1e-6)
    assert 0 < found["most_minimax"]["in"] < 0.003
    assert found["within"] is None, "the limit is between two racks"
    assert [row["code"] for row in answer(desk.run, "passport", SERIAL, "V9", "--shop", desk.folder, code=1)["trouble"]
            ] == ["RW503"]  # fmt: skip


def _weighed(desk: Desk) -> None:
    pads = {pad: f"{kg:.3f} kg" for pad, kg in on_pads(small.design().rack, small.design().bare).items()}
    wrong = desk.log("inspector", "weigh", f"serial={SERIAL}", "gauge=SC-1", "readings=front-left=10 lb, nose=1 in",
                     code=2)  # fmt: skip
    assert len(wrong["trouble"]) == 4, "three pads without a reading, one that is no pad"
    desk.log("inspector", "weigh", f"serial={SERIAL}", "gauge=SC-1", f"readings={_pairs(pads)}")


def _ids(*kinds: str) -> list[str]:
    return small.pieces_of(SERIAL, *kinds) if kinds else small.all_pieces(SERIAL)


def _pairs(values: dict[str, str]) -> str:
    return ", ".join(f"{name}={value}" for name, value in values.items())


def _mm(nm: int) -> str:
    return f"{nm / 1_000_000:.6f} mm"
