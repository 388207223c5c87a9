"""The papers of a job, as verbs: drawings, a sheet for each station, labels, dossier; and writing one to a folder.

Each takes what it shows and gives bytes: equal inputs give equal bytes. Each module here fills one paper.
`papers_of_file` makes what a definition alone allows, `papers_of_serial` what the record holds of a rack.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

from rackwright.design import Design
from rackwright.papers.table import Block
from rackwright.plan import Plan
from rackwright.record import Head, Record, State, durable, events_of_serial, project, state_of
from rackwright.record.keys import trust_of
from rackwright.record.metal import holding
from rackwright.seal import write_keys
from rackwright.seal.handover import KEYS_FILE
from rackwright.shop import Shop
from rackwright.trouble import Refusal, Stopped, Trouble, Where
from rackwright.work.engineering.frozen import frozen, frozen_for
from rackwright.work.gates import no
from rackwright.work.metal.insides import bars_in_hand
from rackwright.work.papers.asked import asked_of, asked_since
from rackwright.work.papers.bake import bake_logs
from rackwright.work.papers.balance import balance_report
from rackwright.work.papers.balloons import balloons
from rackwright.work.papers.blocks import block_drawing
from rackwright.work.papers.brake import blank_dxfs, brake_sheet
from rackwright.work.papers.coat import coat_sheet
from rackwright.work.papers.conformity import conformity
from rackwright.work.papers.damage import damage_draft
from rackwright.work.papers.dossier import dossier
from rackwright.work.papers.drawing import draw
from rackwright.work.papers.first_article import first_article_set
from rackwright.work.papers.hold_points import signed_points
from rackwright.work.papers.inspection import inspection_sheet
from rackwright.work.papers.jig import jig_sheet
from rackwright.work.papers.labels import labels, serial_labels, stock_labels
from rackwright.work.papers.mill import mill_sheet
from rackwright.work.papers.pieces import sketches
from rackwright.work.papers.placard import placard
from rackwright.work.papers.plate import nest_dxfs, plate_sheet
from rackwright.work.papers.red_lines import red_line_blocks
from rackwright.work.papers.report import Issue, report
from rackwright.work.papers.saw import saw_sheet
from rackwright.work.papers.traveler import traveler_sheet
from rackwright.work.papers.witness import head_file, witness_of
from rackwright.work.stations.bending import with_test_bends

__all__ = [
    "KINDS",
    "Made",
    "Paper",
    "Task",
    "bake_logs",
    "balance_report",
    "balloons",
    "blank_dxfs",
    "block_drawing",
    "brake_sheet",
    "coat_sheet",
    "conformity",
    "damage_draft",
    "dossier",
    "draw",
    "inspection_sheet",
    "jig_sheet",
    "labels",
    "mill_sheet",
    "nest_dxfs",
    "order_papers",
    "papers_of_file",
    "papers_of_order",
    "papers_of_serial",
    "papers_of_stock",
    "placard",
    "plate_sheet",
    "saw_sheet",
    "serial_labels",
    "sketches",
    "traveler_sheet",
    "write",
]

KINDS = (
    "drawing", "pieces", "balloons", "blocks", "mill", "traveler", "saw-sheet", "brake", "plate", "jig", "coat",
    "inspection", "labels", "balance", "conformity", "first-article", "placard", "damage", "report", "dossier",
)  # fmt: skip


@dataclass(frozen=True)
class Paper:
    """A file to be written: its kind, name and bytes, and one line about it."""

    kind: str
    name: str
    about: str
    data: bytes


@dataclass(frozen=True)
class Made:
    """What could be made, and of what could not, why."""

    papers: tuple[Paper, ...]
    left_out: tuple[tuple[str, Trouble], ...] = ()  # kind, reason


@dataclass(frozen=True)
class Task:
    """A paper still to be made: `make` gives name -> bytes, or raises Stopped with why it cannot be."""

    kind: str
    about: str
    make: Callable[[], dict[str, bytes]]  # name -> bytes
    asked: bool = False  # it takes its time: made only where it is asked for by its kind


def papers_of_file(
    design: Design,
    plan: Plan | None,
    date: str,
    only: str | None = None,
    texts: Mapping[str, str] | None = None,
    demo: bool = False,
) -> Made:
    """The papers of a definition without a record: racks go by their number, serials are not given yet.

    `plan` is that of its order (`work.metal.planning`), None without a shop. `texts` are the SHA-256 of the
    definition's texts by name, for the report, which is a draft without a record; `demo` marks them as of an
    invented shop.

    Raises Stopped: a design's faults; with `only` also why that paper cannot be made.
    """
    order, shop = design.rack.definition.part, None if plan is None else plan.shop
    tasks = [
        Task("drawing", "the rack, dimensioned, with parts and tie-down",
              lambda: {"drawing.pdf": draw(design, shop, date, demo)}),
        Task("pieces", "a sheet for each part that is sawn, with its holes",
              lambda: {"pieces.pdf": sketches(design, shop, date, demo)}),
        Task("placard", "what each place may carry at most, a draft",
              lambda: {"placard.pdf": placard(design, shop, date, demo)}, asked=True),
        Task("damage", "limits of damage, a draft for the approval holder",
              lambda: {"damage-limits.pdf": damage_draft(design, shop, date, demo)}, asked=True),
        Task("report", "the strength report, a draft: it is prepared of a frozen revision",
              lambda: {"report.pdf": report(Issue(design, texts or {}, demo=demo), shop, date)}),
    ]  # fmt: skip
    if plan is not None:
        house, made = plan.shop, plan
        tasks += [
            Task("balloons", "the drawing with the numbers of the inspection sheet",
                  lambda: {"balloons.pdf": balloons(design, house, date, demo)}),
            *order_papers(made, "", date, demo=demo),
            Task("inspection", "every characteristic with its limits and a line to write on",
                  lambda: {"inspection.pdf": inspection_sheet(design, house, date, demo=demo)}),
            Task("labels", "a label for each piece and remnant",
                  lambda: {"labels.pdf": labels(made, design, order, (), date, demo)}),
        ]  # fmt: skip
    why = (
        "a definition alone has no record: give the serial"
        if only in ("dossier", "balance", "conformity")
        else "no shop folder was found"
    )
    return _made(tasks, only, Refusal("RW701", Where(only or ""), why, "see `rackwright papers --help`"))


def order_papers(
    plan: Plan, order: str, date: str, serials: tuple[str, ...] = (), demo: bool = False,
    bakes: Mapping[str, bytes] | None = None, state: State | None = None, witness: str = "",
) -> tuple[Task, ...]:  # fmt: skip
    """The stations' papers of an order, each made when its `make` is called; `state` gives the travelers red
    lines and sign-offs."""

    def changes(serial: str) -> tuple[Block, ...]:
        return tuple(red_line_blocks(state, serial)) if state else ()

    def signed(serial: str) -> Mapping[str, tuple[str, str]]:
        return signed_points(state, serial) if state else {}

    names = [serials[n] if serials else f"rack-{n + 1}" for n in range(plan.racks)]
    return (
        Task("blocks", "a sheet a corner block: three views, stock and grain, time",
             lambda: {"blocks.pdf": block_drawing(plan, order, date, demo)}),
        Task("mill", "setups and operations of the corner blocks, what must hold, the spigots' fit",
             lambda: {"mill.pdf": mill_sheet(plan, order, date, demo)}),
        Task("traveler", "the steps of each rack in order, with holds and lines to write on",
             lambda: {f"{name}-traveler.pdf":
                      traveler_sheet(plan, n, order, date, serials, demo, changes(name), witness, signed(name))
                      for n, name in enumerate(names, start=1)}),
        Task("saw-sheet", "bars in the order of cutting, with stop settings",
             lambda: {"saw-sheet.pdf": saw_sheet(plan, order, date, serials, demo)}),
        Task("brake", "ring blanks with bend line, tools and force; a DXF file of each flat",
             lambda: {"brake.pdf": brake_sheet(plan, order, date, demo), **_in("dxf", blank_dxfs(plan))}),
        Task("plate", "what is cut flat from which plate; a DXF file of each layout",
             lambda: {"plate.pdf": plate_sheet(plan, order, date, serials, demo), **_in("dxf", nest_dxfs(plan))}),
        Task("jig", "holes from the jig's datum, stack-up, passport of a rack",
             lambda: {"jig.pdf": jig_sheet(plan, order, date, serials, demo)}),
        Task("coat", "area, powder, masking list; the chart of each bake",
             lambda: {"coat.pdf": coat_sheet(plan, order, date, bakes, demo)}),
    )  # fmt: skip


def _in(folder: str, files: Mapping[str, bytes]) -> dict[str, bytes]:
    return {f"{folder}/{name}": data for name, data in files.items()}


def papers_of_order(
    record: Record, order: str, shop: Shop, date: str, only: str | None = None, seed: bytes | None = None
) -> Made:
    """The saw sheet of an order that holds now, or of each line of it, as it was recorded; its mill sheet and travelers
    for the bars issued.

    `shop` where none was frozen; `only` one of saw-sheet (also None), mill, traveler. With the shop's key of `seed`
    travelers carry a signed head of the record, which goes beside them.

    Raises Stopped: RW503 no saw plan of it is recorded, RW507 its sheet is missing or altered.
    """
    state = state_of(record)
    if only in ("mill", "traveler"):
        return _for_bars_issued(record, state, order, shop, date, only, seed)
    plans = state.saw_plans.get(order, ())
    if not plans:
        found = f"no saw plan of {order} is in the record"
        raise Stopped([no("RW503", order, found, "make one: rackwright log saw_plan")])
    hold = holding(plans)
    superseded = ", ".join(one.plan for one in plans if one not in hold)
    made = []
    for one in hold:
        about = f"the saw sheet{one.line and f' of line {one.line}'} that holds"
        about += f"; superseded: {superseded}" if superseded else ""
        made.append(Paper("saw-sheet", f"{one.plan}.pdf", about, record.get_file(one.sheet)))
        if since := asked_since(record, state, one, shop, date):
            made.append(
                Paper(
                    "saw-sheet", f"{one.plan}-questions.pdf", "goes on top of it: what was asked since", since
                )
            )
    return Made(tuple(made))


def _for_bars_issued(
    record: Record, state: State, order: str, shop: Shop, date: str, only: str, seed: bytes | None
) -> Made:
    racks = state.racks(order)
    if not racks:
        raise Stopped([no("RW503", order, f"{order} has no serials", "give them: rackwright log serial")])
    demand = []
    for revision, some in groupby(racks, lambda rack: rack.revision):
        held = frozen(record, revision, state)
        demand.append((asked_of(held.design, state, order), len(list(some))))
        shop = held.shop or shop
    house = with_test_bends(record, state, shop)
    plan = Plan(tuple(demand), None, house, in_hand=bars_in_hand(state, order))
    witness = witness_of(record, seed, date) if seed is not None and only == "traveler" else None
    names, words = tuple(rack.serial for rack in racks), witness.words if witness else ""
    tasks = order_papers(plan, order, date, names, state.demo, state=state, witness=words)
    made = _made(
        tasks, only, Refusal("RW701", Where(only), "no such paper", "see `rackwright papers --help`")
    )
    if witness is None:
        return made
    beside = Paper(
        only,
        f"{order.replace('/', '-')}-{only}.head",
        "the signed head that they carry, for audits",
        head_file(witness),
    )
    return Made((*made.papers, beside), made.left_out)


def papers_of_stock(record: Record, ids: Sequence[str], shop: Shop, date: str, seed: bytes | None) -> Made:
    """A label for each bar, plate or lot. With the shop's key of `seed` the run carries a signed head of the record."""
    witness = witness_of(record, seed, date) if seed is not None else None
    pdf, name = stock_labels(state_of(record), ids, shop, date, witness), ids[0].replace("/", "-")
    made = [Paper("labels", f"{name}-labels.pdf", f"labels of {', '.join(ids)}", pdf)]
    if witness is not None:
        words = "the signed head that they carry, for audits"
        made.append(Paper("labels", f"{name}-labels.head", words, head_file(witness)))
    return Made(tuple(made))


def papers_of_serial(
    record: Record,
    serial: str,
    shop: Shop,
    seed: bytes,
    date: str,
    seen_heads: Sequence[Head] = (),
    only: str | None = None,
) -> Made:
    """The papers of a serial, from the record and the texts frozen in it; `shop` where no shop was frozen.

    Raises Stopped: RW503 an unknown serial, what keeps the frozen texts from being read; as `papers_of_file`.
    """
    events = record.events()
    state = project(events)
    held, rack = frozen_for(record, serial, state), state.serials[serial]
    held = replace(held, design=asked_of(held.design, state, rack.order, rack.line))
    house = with_test_bends(record, state, held.shop or shop)

    def whole() -> dict[str, bytes]:
        pdf, seal = dossier(record, serial, held.design, held.standard, house, seed, date, seen_heads)
        trust = trust_of(events)
        keys = {KEYS_FILE: write_keys(trust)} if trust.handovers else {}
        return {f"{serial}.pdf": pdf, f"{serial}.seal": seal, **keys}

    def coat() -> dict[str, bytes]:
        plan = Plan(((held.design, 1),), None, house)
        logs = bake_logs(events_of_serial(events, state, serial), record.get_file)
        return {f"{serial}-coat.pdf": coat_sheet(plan, rack.order, date, logs, state.demo)}

    def label_run() -> dict[str, bytes]:
        witness = witness_of(record, seed, date)
        pdf = serial_labels(state, serial, held.design, house, date, witness)
        return {f"{serial}-labels.pdf": pdf, f"{serial}-labels.head": head_file(witness)}

    def recorded() -> dict[str, bytes]:
        last = state.report_of(rack.revision)
        if last is None:
            found = f"no strength report of {rack.revision} is in the record"
            raise Stopped([no("RW503", serial, found, "prepare one: rackwright log report")])
        return {f"{last.report}-{last.revision}.pdf": record.get_file(last.file)}

    tasks = [
        Task("drawing", "the rack, dimensioned, with parts and tie-down",
              lambda: {"drawing.pdf": draw(held.design, house, date, state.demo)}),
        Task("pieces", "a sheet for each part that is sawn, with its holes",
              lambda: {"pieces.pdf": sketches(held.design, house, date, state.demo)}),
        Task("balloons", "the drawing with the numbers of the inspection sheet",
              lambda: {"balloons.pdf": balloons(held.design, house, date, state.demo)}),
        Task("coat", "area, powder, masking list; the chart of each bake", coat),
        Task("inspection", "every characteristic as measured, blank where it is not",
              lambda: {f"{serial}-inspection.pdf":
                       inspection_sheet(held.design, house, date, serial, state, events=events)}),
        Task("balance", "weight and balance: pads, centre of gravity, moments for the installer",
              lambda: {f"{serial}-balance.pdf": balance_report(events, serial, held.design, house, date)}),
        Task("conformity", "gates, pieces and heats, nonconformances, for the person who signs",
              lambda: {f"{serial}-conformity.pdf":
                       conformity(events, serial, held.design, house, date, record.get_file)}),
        Task("first-article", "the forms of a first article, by the field list chosen",
              lambda: {f"{serial}-first-article.pdf": first_article_set(events, serial, held.design, house, date)},
              asked=serial not in state.first_articles),
        Task("labels", "a label for each sawn piece as recorded",
              label_run),
        Task("placard", "what each place may carry at most, a draft",
              lambda: {f"{serial}-placard.pdf": placard(held.design, house, date, state.demo)}, asked=True),
        Task("damage", "limits of damage, a draft for the approval holder",
              lambda: {f"{serial}-damage-limits.pdf": damage_draft(held.design, house, date, state.demo)}, asked=True),
        Task("report", "the strength report of its revision, as recorded", recorded),
        Task("dossier", "the dossier, and the seal that proves it whole", whole),
    ]  # fmt: skip
    why = "what is cut from which bar is planned for an order: give the variation's file with --stock"
    return _made(tasks, only, Refusal("RW701", Where(only or ""), why, "see `rackwright papers --help`"))


def _made(tasks: Sequence[Task], only: str | None, absent: Refusal) -> Made:
    """Do the tasks; a refusal leaves a paper out, unless it was the only one asked for."""
    papers: list[Paper] = []
    left: list[tuple[str, Trouble]] = []
    chosen = [task for task in tasks if task.kind == only or (only is None and not task.asked)]
    if not chosen:
        raise Stopped([absent])
    for task in chosen:
        try:
            files = task.make()
        except Stopped as stopped:
            if only is not None or not all(isinstance(trouble, Refusal) for trouble in stopped.troubles):
                raise
            left += [(task.kind, trouble) for trouble in stopped.troubles]
            continue
        papers += [Paper(task.kind, name, task.about, data) for name, data in files.items()]
    return Made(tuple(papers), tuple(left))


def write(path: str | Path, data: bytes) -> Path:
    """Write a paper whole or not at all (`record.durable`). Makes the folder.

    Raises Stopped (RW701) where it cannot be written; what stood there before is then still there.
    """
    path = Path(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        durable.write_whole(path, data)
    except (OSError, ValueError) as error:  # ValueError: a NUL character in the path
        raise Stopped([durable.cannot_write("RW701", path, error, "check the folder")]) from None
    return path
