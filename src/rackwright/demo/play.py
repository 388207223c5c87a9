"""Playing the invented shop's job into a folder, through the same verbs that people use.

Everything is computed again each time. A finished demo folder is removed first (only one with our marker);
a half-made one is continued: act ids are fixed, so what is recorded is not done twice. Clock, ids and key are
the demo's own. Two runs leave the same bytes in every file but `record.db`, which is compared by its export.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from hashlib import sha256
from importlib.resources import as_file, files
from pathlib import Path

from rackwright import record as records
from rackwright.answers import changes_json, plan_json, prove_json
from rackwright.demo.acts import acts
from rackwright.demo.job import DUE, LEAD, ORDER, SECRETS, Act, Job, chance_of, rack_serials
from rackwright.demo.papers import order_files, report_files, serial_files
from rackwright.design import Design
from rackwright.plan import Plan
from rackwright.rack import Source, read_rack
from rackwright.record import Follower, Record, export_lines
from rackwright.seal import DEMO_SEED, key_id, public_key
from rackwright.trouble import Fault, Refusal, Stopped, Trouble, Where
from rackwright.work import papers
from rackwright.work.load import gather, load_shop, load_stock_items
from rackwright.work.metal.planning import order_plan
from rackwright.work.papers import write
from rackwright.work.serials.releasing import record_dossier
from rackwright.work.station import Station

__all__ = ["Left", "play"]

MARKER = ".rackwright-demo"
VARIATION = "variations/er-47-v12.toml"
RACKS, DATE = 3, "2026-04-10"
Say = Callable[[str], None]


@dataclass(frozen=True)
class Left:
    """What a demo leaves: files with one line each, and what was not to be (refusals that end it early)."""

    files: tuple[tuple[str, str], ...]
    troubles: tuple[Trouble, ...]


def play(folder: Path, variation: Path | None, say: Say) -> Left:
    """The whole job into `folder`. Raises Stopped for a folder that is not ours or a faulty variation."""
    edited = variation.read_bytes() if variation else None
    _must_be_ours(folder)
    say("reading the variation and its standard")
    asked = _read(variation, edited)  # a faulty one is told before anything is removed or made
    _prepare(folder, edited, say)
    job = _compute(folder, asked, say)
    standard = asked.standard
    path = folder / "record.db"
    with records.open(path) if path.exists() else records.create(path) as record:
        troubles = _perform(record, job, say)
        left = _papers(folder, record, job, standard, say)
        _write(folder / "export.jsonl", b"".join(export_lines(record.events())))
    _mark(folder, edited, "done")
    left.append(("record.db", "the record: every event, append-only"))
    left.append(("export.jsonl", "the same as JSON lines, with its root hash"))
    return Left(tuple(left), tuple(troubles))


# --- the folder ----------------------------------------------------------------------------------


def _must_be_ours(folder: Path) -> None:
    marker = folder / MARKER
    if folder.exists() and (not folder.is_dir() or (any(folder.iterdir()) and not marker.exists())):
        do = "give another folder; only a folder made by the demo is removed"
        raise Stopped([Fault("RW001", Where(str(folder)), "it is there and was not made by the demo", do)])


def _prepare(folder: Path, edited: bytes | None, say: Say) -> None:
    marker = folder / MARKER
    if marker.exists():
        state = marker.read_text().split()
        if state[:2] == ["running", _hash(edited)]:
            say("going on with a demo that was cut off")
            return
        shutil.rmtree(folder)
    folder.mkdir(parents=True, exist_ok=True)
    _mark(folder, edited, "running")
    with as_file(files("rackwright.demo") / "shop") as shop:
        shutil.copytree(shop, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
    if edited is not None:
        _write(folder / VARIATION, edited)


def _mark(folder: Path, edited: bytes | None, state: str) -> None:
    _write(folder / MARKER, f"{state} {_hash(edited)}\n".encode())


def _hash(edited: bytes | None) -> str:
    return sha256(edited or b"").hexdigest()


# --- computing -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Asked:
    """The texts of the variation and its bases, and the designs they come to."""

    source: Source
    bases: dict[str, Source]
    design: Design
    standard: Design


def _read(variation: Path | None, edited: bytes | None) -> _Asked:
    """The shipped variation, or the user's; faults name the file that the user gave."""
    with as_file(files("rackwright.demo") / "shop") as shop:
        source, found = gather(shop / VARIATION)
    bases = {
        name: Source(f"standards/{name}.toml", base.data) for name, base in found.items()
    }  # as in the folder
    source = (
        Source(str(variation), edited) if variation and edited is not None else Source(VARIATION, source.data)
    )
    rack, faults = read_rack(source, bases)
    base, base_faults = read_rack(next(iter(bases.values())), {}) if bases else (None, [])
    if rack is None or base is None:
        raise Stopped([*faults, *base_faults])
    design, standard = Design(rack), Design(base)
    if design.faults:
        raise Stopped(design.faults)
    return _Asked(source, bases, design, standard)


def _compute(folder: Path, asked: _Asked, say: Say) -> Job:
    source, bases, design = asked.source, asked.bases, asked.design
    changes = len(design.rack.changes)
    say(f"{len(design.pieces.made)} pieces, {len(design.pieces.bolts)} bolts; {changes} changes")
    least = next((m for m in design.strength.governing if m.margin is not None), None)
    say(f"strength: {len(design.strength.margins)} margins in {len(design.strength.cases)} cases"
        + (f", least {least.margin:+.3f} at {least.id}" if least else ""))  # fmt: skip
    shop, (bars, items) = load_shop(folder), load_stock_items(folder / "stock.toml")
    plan = order_plan(Plan(((design, RACKS),), bars, shop, items=items, due=DUE), None)
    for section in plan.saw:
        say(
            f"saw: {section.section}: {section.status}, {len(section.bars)} bars, gap {100 * section.gap:.2f} %"
        )
    if not plan.feasible:
        short = [slot.piece for section in plan.saw for slot in section.missing]
        raise Stopped([Refusal("RW402", Where("stock.toml"), f"no bar for {', '.join(short)}", "add stock")])
    texts = {"definition": source.data, "shop": (folder / "shop.toml").read_bytes()}
    texts |= {f"base/{name}": base.data for name, base in bases.items()}
    bakes = {path.name: path.read_bytes() for path in sorted((folder / "oven").glob("*.csv"))}
    return Job(design, texts, plan, shop, bars, items, bakes, key_id(public_key(DEMO_SEED)))


# --- acting --------------------------------------------------------------------------------------


def _perform(record: Record, job: Job, say: Say) -> list[Trouble]:
    """All acts in order; an unexpected refusal ends the job there."""
    follower, day = Follower(), ""
    for number, act in enumerate(acts(job)):
        day = max(day, act.day)  # the racks of an order go through the stations one after the other
        station = _station(record, replace(act, day=day), number, follower)
        try:
            done = act.do(station, f"demo {act.id}")
        except Stopped as stopped:
            if not any(trouble.code == act.refused for trouble in stopped.troubles):
                for trouble in stopped.troubles:
                    say(f"refused: {trouble}")
                return list(stopped.troubles)
            for event in record.act(f"demo {act.id}"):
                say(f"recorded {event.seq} {event.type}   {event.body['code']} {event.body['found']}")
            continue
        if act.refused:
            raise AssertionError(f"the gate let {act.id!r} pass, which it must refuse with {act.refused}")
        for event in done.events:
            say(f"recorded {event.seq} {event.type}   {act.id}")
    return []


def _station(record: Record, act: Act, number: int, follower: Follower | None = None) -> Station:
    """The demo's clock: each act of a day a few seconds after the one before."""
    time = f"{7 + number // 600:02d}:{number // 10 % 60:02d}:{number % 10 * 6:02d}"
    follower = follower or Follower()
    return Station(
        record, act.person, lambda: f"{act.day}T{time}Z", lambda: f"demo {act.id}", "demo", follower,
        SECRETS[act.person], chance=chance_of(f"demo {act.id}"),
    )  # fmt: skip


# --- papers --------------------------------------------------------------------------------------


def _papers(folder: Path, record: Record, job: Job, standard: Design, say: Say) -> list[tuple[str, str]]:
    design, names = job.design, rack_serials(job)
    released = [name for name in names if _released(record, name)]
    made: list[tuple[str, str, bytes]] = [
        ("prove.json", "margins, mass, reactions, modes, and what changed against the standard", _json(
            {**prove_json(design), "against": changes_json(design, standard)})),
        ("plan.json", "what is cut from which bar, what must be bought", _json(plan_json(job.plan))),
        ("papers/drawing.pdf", "the rack, dimensioned, with parts and tie-down",
         papers.draw(design, job.shop, DATE, demo=True)),
        ("papers/pieces.pdf", "a sketch a piece with its holes", papers.sketches(design, job.shop, DATE, demo=True)),
        ("papers/labels.pdf", "a label a piece and remnant, with Data Matrix",
         papers.labels(job.plan, design, ORDER, names, DATE, demo=True)),
        *order_files(record, job, names, DATE, say),
        *report_files(record, job),
    ]  # fmt: skip
    for serial in released:
        made += serial_files(record, job, serial, DATE)
    for name, _, data in made:
        _write(folder / name, data)
    left = [(name, words) for name, words, _ in made]
    for serial in released:
        say(f"setting the dossier of {serial}")
        left += _dossier(folder, record, job, standard, serial, say)
    return left


def _dossier(
    folder: Path, record: Record, job: Job, standard: Design, serial: str, say: Say
) -> list[tuple[str, str]]:
    act = Act(f"dossier {serial}", LEAD, DATE, lambda s, id: None)  # type: ignore[arg-type, return-value]
    pdf_path, seal_path = folder / "papers" / f"{serial}.pdf", folder / "papers" / f"{serial}.seal"
    if not record.act(f"demo {act.id}") or not (pdf_path.exists() and seal_path.exists()):
        pdf, seal = papers.dossier(record, serial, job.design, standard, job.shop, DEMO_SEED, DATE)
        _write(pdf_path, pdf)
        _write(seal_path, seal)
        for event in record_dossier(_station(record, act, 900), serial, pdf, seal, f"demo {act.id}").events:
            say(f"recorded {event.seq} {event.type}   {act.id}")
    return [(f"papers/{serial}.pdf", f"the dossier of {serial}"),
            (f"papers/{serial}.seal", "its seal: `rackwright verify` reads the two together")]  # fmt: skip


def _released(record: Record, serial: str) -> bool:
    return any(event.type == "release" and event.body["serial"] == serial for event in record.events())


def _json(document: object) -> bytes:
    return (
        json.dumps(document, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False) + "\n"
    ).encode()


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    write(path, data)
