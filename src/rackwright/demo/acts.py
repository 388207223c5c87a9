"""What the people of the invented shop do, in order: an order of three racks in two lines, with what goes wrong.

Each act is one call of a verb with a fixed act id, so that a job that was cut off goes on where it stopped.
Acts that a gate must refuse are part of the day; they are recorded as refusals.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rackwright.demo.evidence import owing
from rackwright.demo.job import (
    AIRCRAFT,
    CHECKER,
    CUSTOMER,
    DUE,
    ENGINEER,
    GAUGES,
    LATER,
    LEAD,
    MACHINIST,
    ORDER,
    PEOPLE,
    REPORT,
    SAWYER,
    SECRETS,
    SUPPLIER,
    Act,
    Job,
    chance_of,
    rack_serials,
)
from rackwright.demo.office import QUOTE, contract, quoting, reviewing
from rackwright.demo.receiving import bought_bars, receiving
from rackwright.demo.service import swapping, worked_on
from rackwright.demo.stations import after_the_saw
from rackwright.making.nest import Layout
from rackwright.making.plate import PlateJob
from rackwright.making.sawing.cut_sheet import CutBar
from rackwright.record import Appended, state_of
from rackwright.record.office import FIRST
from rackwright.shop import StockItem
from rackwright.work.engineering.reporting import check_report, prepare_report, release_report
from rackwright.work.metal.plates import profile_cut, visit_of
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, piece_id
from rackwright.work.office.lines import LineChange, order_line
from rackwright.work.office.ordering import (
    Approval,
    answer,
    ask,
    freeze,
    order,
    record_approval,
    serials,
)
from rackwright.work.office.quoting import agree
from rackwright.work.people.founding import add_gauge, add_person, found
from rackwright.work.people.signers import draw_code, give_code, set_secret
from rackwright.work.people.signing import PASSWORD, PIN
from rackwright.work.quality.noting import add_supplier
from rackwright.work.station import Station

__all__ = ["acts"]

QUESTION = "Q1 floor fittings"


def acts(job: Job) -> Iterator[Act]:
    """The whole job, first to last."""
    yield from _founding(job)
    yield from receiving(job, bought_bars(job))
    yield from quoting(job)
    yield from _ordering(job)
    yield from _sawing(job)
    yield from _profile_cutting(job)
    yield from _making(job)
    yield from after_the_saw(job)
    yield from swapping(job)
    yield from worked_on(job)


# --- the shop ----------------------------------------------------------------------


def _founding(job: Job) -> Iterator[Act]:
    day = "2026-03-02"
    yield Act("found", LEAD, day, lambda s, id: found(s, job.shop.name, True, job.key_id, id))
    yield Act("password", LEAD, day, lambda s, id: set_secret(s, PASSWORD, SECRETS[LEAD], id))
    for person, roles in PEOPLE.items():
        yield Act(f"person {person}", LEAD, day, lambda s, id, p=person, r=roles: add_person(s, p, r, id))  # type: ignore[misc]
        yield Act(f"code {person}", LEAD, day, lambda s, id, p=person: give_code(s, p, id)[0])  # type: ignore[misc]
        yield Act(f"pin {person}", person, day, _sets_pin)
    for gauge, kind, due, uncertainty in GAUGES:

        def add(
            s: Station, id: str, facts: tuple[str, str, str, str] = (gauge, kind, due, uncertainty)
        ) -> Appended:
            return add_gauge(s, *facts, act_id=id)

        yield Act(f"gauge {gauge}", LEAD, day, add)
    yield Act(
        "supplier", LEAD, day, lambda s, id: add_supplier(s, SUPPLIER, ["pretreat", "passivate"], act_id=id)
    )


def _sets_pin(station: Station, id: str) -> Appended:
    """With the one-time code that the lead gave."""
    code = draw_code(chance_of(f"demo code {station.person}"))
    return set_secret(replace(station, secret=code), PIN, SECRETS[station.person], id)


# --- the order -----------------------------------------------------------------------------------


def _ordering(job: Job) -> Iterator[Act]:
    day, design = "2026-03-04", job.design
    first = next((bar.bar for section in job.plan.saw for bar in section.bars), "")
    pieces = (piece_id(rack_serials(job)[0], job.design.pieces.sawn[0].id),)

    later = LineChange("CT-2231 rev B", variation=design.rack.definition.part, quantity=1, due="2026-05-08",
                       aircraft_serials=AIRCRAFT[-1:])  # fmt: skip
    never = "RW503" if job.plan.price.questions or job.plan.price.asked else ""

    def try_issue(station: Station, id: str) -> Appended:
        return issue(station, first, ORDER, job.revision, pieces, rack_serials(job)[:1], id)

    yield Act(
        "order",
        LEAD,
        day,
        lambda s, id: order(s, ORDER, CUSTOMER, design, job.plan.racks - 1, DUE, "CT-2231 rev B", id,
                            aircraft_serials=AIRCRAFT[:-1]),
    )  # fmt: skip
    yield Act(
        "agree before the second line",
        LEAD,
        day,
        lambda s, id: agree(s, QUOTE, "B", ORDER, id),
        never or "RW517",
    )
    yield Act("order line 2", LEAD, day, lambda s, id: order_line(s, ORDER, LATER, later, id))
    yield from contract(job)
    yield from owing(job)
    yield Act(
        "question",
        LEAD,
        day,
        lambda s, id: ask(
            s,
            QUESTION,
            "Do the floor fittings of aircraft 0007 carry the ratings of the interface document?",
            "the customer's engineering",
            "2026-03-10",
            ("sign_out", "release"),
            ORDER,
            id,
        ),
    )
    yield Act("freeze", LEAD, day, lambda s, id: freeze(s, design, job.texts, ORDER, id))
    yield from _report(job, day, "A")
    yield Act("serials", LEAD, day,
              lambda s, id: serials(s, ORDER, job.revision, rack_serials(job)[:-1], id, FIRST))  # fmt: skip
    yield Act("serial of line 2", LEAD, day,
              lambda s, id: serials(s, ORDER, job.revision, rack_serials(job)[-1:], id, LATER))  # fmt: skip
    yield Act("issue without a reference", SAWYER, day, try_issue, "RW514")
    yield Act(
        "approval reference",
        LEAD,
        "2026-03-09",
        lambda s, id: record_approval(
            s,
            job.revision,
            Approval(
                "INVENTED-DA-118",
                "an invented holder of a design approval",
                "INVENTED-DA-118 rev A",
                "2026-03-09",
            ),
            id,
        ),
    )
    yield Act("issue with a question open", SAWYER, "2026-03-09", try_issue, "RW513")
    yield Act(
        "answer",
        LEAD,
        "2026-03-10",
        lambda s, id: answer(
            s, QUESTION, "Yes, as INVENTED-AC-114 rev B states.", "INVENTED-MAIL-77 of 2026-03-10", id
        ),
    )
    yield Act("answer otherwise without a reason", LEAD, "2026-03-10",
              lambda s, id: answer(s, QUESTION, "Yes, as rev C states.", "INVENTED-MAIL-78", id), "RW517")  # fmt: skip
    yield Act("answer again", LEAD, "2026-03-10",
              lambda s, id: answer(s, QUESTION, "Yes, as INVENTED-AC-114 rev C states; its ratings are those of rev B.",
                                   "INVENTED-MAIL-78 of 2026-03-10", id,
                                   reason="the interface document was reissued"))  # fmt: skip
    yield from _report(job, "2026-03-10", "B")
    yield Act("issue before the contract review", SAWYER, "2026-03-10", try_issue, "RW548")
    yield from reviewing(job)


def _report(job: Job, day: str, letter: str) -> Iterator[Act]:
    """A revision of the strength report: prepared, not checked by its preparer, checked, and not yet to be released.

    The first is prepared while a question is open, and is superseded by the answer; the second still rests on
    reference rows that nobody has compared with their source, which no invented person can do.
    """
    yield Act(f"report {letter}", ENGINEER, day,
              lambda s, id: prepare_report(s, REPORT, job.revision, job.design, job.shop, id))  # fmt: skip
    if letter == "B":
        yield Act(
            "check a superseded report",
            CHECKER,
            day,
            lambda s, id: check_report(s, REPORT, "A", "", id),
            "RW534",
        )
    yield Act(f"check report {letter} oneself", ENGINEER, day,
              lambda s, id: check_report(s, REPORT, letter, "", id), "RW533")  # fmt: skip
    if letter == "B":
        yield Act(
            "release an unchecked report",
            CHECKER,
            day,
            lambda s, id: release_report(s, REPORT, letter, id),
            "RW533",
        )
    yield Act(f"check report {letter}", CHECKER, day,
              lambda s, id: check_report(s, REPORT, letter, "least margin worked again", id))  # fmt: skip
    code = "RW513" if letter == "A" or job.design.questions else _first_no(job)
    yield Act(
        f"release report {letter}", CHECKER, day, lambda s, id: release_report(s, REPORT, letter, id), code
    )


def _first_no(job: Job) -> str:
    """What keeps the answered report from release: a margin where one says no, else rows that nobody compared."""
    no = job.design.refusals()
    return no[0].code if no else "RW531"


# --- making --------------------------------------------------------------------------------------


def _sawing(job: Job) -> Iterator[Act]:
    day, names = "2026-03-11", rack_serials(job)
    for section in job.plan.saw:
        for n, bar in enumerate(section.bars):
            made = tuple(
                CutPiece(piece_id(names[c.slot.rack - 1], c.slot.piece), names[c.slot.rack - 1], c.length_nm)
                for c in bar.cuts
            )
            ids, racks = tuple(p.piece for p in made), tuple(sorted({p.serial for p in made}))

            def take(s: Station, id: str, bar: CutBar = bar, ids: tuple[str, ...] = ids,
                     racks: tuple[str, ...] = racks, label: str = "") -> Appended:  # fmt: skip
                return issue(s, bar.bar, ORDER, job.revision, ids, racks, id, label or bar.bar)

            def saw(s: Station, id: str, bar: CutBar = bar, made: tuple[CutPiece, ...] = made) -> Appended:
                return cut(s, ORDER, _visit(job, bar, made), id)

            told = section is job.plan.saw[0] and n == 0
            if told:  # the bar beside it is taken off the rack
                yield Act(f"issue {bar.bar} with another's label", SAWYER, day,
                          lambda s, id, take=take: take(s, id, label="T-02"), "RW517")  # type: ignore[misc]  # fmt: skip
            yield Act(f"issue {bar.bar}", SAWYER, day, take)
            if told:  # two people grab one bar
                yield Act(f"issue {bar.bar} twice", SAWYER, day, take, "RW511")
            yield Act(f"cut {bar.bar}", SAWYER, day, saw)


def _visit(job: Job, bar: CutBar, made: tuple[CutPiece, ...]) -> Visit:
    kerf = sum(one.kerf_nm for one in bar.cuts)
    remnant = f"{bar.bar}-R" if bar.keeps_rest else ""
    return Visit(bar.bar, made, kerf, bar.trim_nm, bar.rest_nm, remnant, f"label {remnant}" if remnant else "",
                 job.shop.saw.name, ("ST-1",))  # fmt: skip


def _profile_cutting(job: Job) -> Iterator[Act]:
    """Ring blanks from plates that are kept by their shape: as nested, each remnant with its label."""
    day, names = "2026-03-12", rack_serials(job)
    by_shape = {item.id for item in job.items if item.by_shape}
    cut = [(one, layout) for one in job.plan.plate.jobs for layout in one.layouts if layout.item in by_shape]
    for n, (nest, layout) in enumerate(cut):
        plate = layout.item
        ids = tuple(piece_id(names[one.slot.rack - 1], one.slot.piece) for one in layout.placed)
        racks = tuple(sorted({names[one.slot.rack - 1] for one in layout.placed}))

        def take(
            s: Station,
            id: str,
            plate: str = plate,
            ids: tuple[str, ...] = ids,
            racks: tuple[str, ...] = racks,
        ) -> Appended:
            return issue(s, plate, ORDER, job.revision, ids, racks, id, plate)

        def jet(
            s: Station, id: str, nest: PlateJob = nest, layout: Layout = layout, labelled: bool = True
        ) -> Appended:
            there = state_of(s.record).stock[layout.item]
            done = visit_of(there, layout, nest.flats, names, job.shop)
            if not labelled:
                done = replace(done, remnants=tuple(replace(one, label="") for one in done.remnants))
            return profile_cut(s, ORDER, done, id)

        yield Act(f"issue {plate}", MACHINIST, day, take)
        if n == 0 and layout.rests:
            yield Act(f"cut {plate} without a label", MACHINIST, day,
                      lambda s, id, jet=jet: jet(s, id, labelled=False), "RW517")  # type: ignore[misc]  # fmt: skip
        yield Act(f"cut {plate}", MACHINIST, day, jet)


def _making(job: Job) -> Iterator[Act]:
    """Blocks, panels, rings and pads from counted stock."""
    day, names = "2026-03-12", rack_serials(job)
    for item in (one for one in job.items if not one.by_shape):
        wanted = [
            piece
            for piece in job.design.pieces.made
            if (piece.section, piece.stock) == (item.section, item.stock)
        ]
        made = tuple(CutPiece(piece_id(name, piece.id), name, 0) for name in names for piece in wanted)
        if made:
            opened = job.plan.plate.sheets_of(item.id) or len(made)  # plates give several pieces

            def make(s: Station, id: str, item: StockItem = item, made: tuple[CutPiece, ...] = made,
                     opened: int = opened) -> Appended:  # fmt: skip
                return make_from(s, item.id, ORDER, job.revision, made, id, opened)

            yield Act(f"make from {item.id}", MACHINIST, day, make)
