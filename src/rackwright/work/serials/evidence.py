"""What a release needs as evidence, and whether it is there: flammability, bonding, passivation, tests.

Owed is what the frozen definition asks by its materials and interface (`engineering/owed.py`), and what a lead writes
down of a revision or an order. It is met by an `evidence` with its document, which covers a revision (a type test),
lots or heats, or serials; or by what its station recorded anyway: a reading of the rack, its points, and the
certificate of outside work, or the shop's own step, on every piece that it is asked of. What covers a rack last
decides: a test that did not pass undoes an earlier one, and work on a rack what was of the rack before (`undone.py`).
What a lead says is not owed stays on the list, with reason and document.

A revision that an older program froze owes only what a lead wrote down.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from rackwright.record import Appended, Refs, State
from rackwright.record.office import Evidence, Owed
from rackwright.record.state import Piece, Serial
from rackwright.trouble import Refusal
from rackwright.work.gates import accepted_as_is, first, no, order_known, person_may, serial_known
from rackwright.work.metal.drawn import role
from rackwright.work.people.founding import INSPECTOR, LEAD
from rackwright.work.serials.undone import POINTS, undone
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "EACH", "POINTS", "Standing", "evidence_there", "give", "listed", "may_be_given", "may_be_owed", "owe", "owed_of",
    "standing_of",
]  # fmt: skip

EACH = ("revision", "lot", "serial")  # what one piece of evidence may cover, widest first
MOST = 4  # of what is missing, named one by one


@dataclass(frozen=True)
class Standing:
    """One line of a rack's list: what stands for it in words, or what is missing."""

    owed: Owed
    there: str
    missing: str = ""
    seq: int = 0  # the event that stands for it

    @property
    def words(self) -> str:
        return f"MISSING: {self.missing}" if self.missing else self.there

    def to_json(self) -> dict[str, Any]:
        return {
            "evidence": self.owed.evidence,
            "kind": self.owed.kind,
            "asked_in": self.owed.document,
            "each": self.owed.each,
            "there": not self.missing,
            "stands": self.words,
            "seq": self.seq or None,
        }


# --- the list ------------------------------------------------------------------------------------


def listed(state: State, revision: str, orders: Iterable[str]) -> dict[str, Owed]:
    """What racks of a revision owe under these orders, by name; of the lead's words the later stands."""
    frozen = state.revisions.get(revision)
    rows = [_of_frozen(row, frozen.seq) for row in frozen.values.get("owed", ())] if frozen else []
    said = [row for scope in (revision, *orders) for row in state.owed.get(scope, {}).values()]
    rows += sorted(said, key=lambda row: row.seq)
    return {row.evidence: row for row in rows}


def _of_frozen(row: Mapping[str, Any], seq: int) -> Owed:
    return Owed(**{**row, "of": tuple(row.get("of", ())), "by": "", "seq": seq})


def owed_of(state: State, serial: str) -> tuple[Owed, ...]:
    """Everything on the list of one rack."""
    rack = state.serials[serial]
    return tuple(listed(state, rack.revision, [rack.order]).values())


def standing_of(state: State, serial: str) -> tuple[Standing, ...]:
    """The list of one rack, each line with its state; of one that has left, as it stands today."""
    rack = state.serials[serial]
    return tuple(_told(state, rack, _standing(state, rack, one)) for one in owed_of(state, serial))


def _told(state: State, rack: Serial, one: Standing) -> Standing:
    if one.missing and 0 < rack.released_seq < one.owed.seq > undone(state, rack, one.owed)[0]:
        return replace(one, missing=f"{one.missing}; it was written down after the release")
    return one


def evidence_there(state: State, serial: str) -> Refusal | None:
    """Nothing that a rack owes is missing."""
    if serial not in state.serials:
        return serial_known(state, serial)
    missing = [one for one in standing_of(state, serial) if one.missing]
    if not missing:
        return None
    named = [f"{one.owed.evidence} ({one.missing})" for one in missing[:MOST]]
    more = f"; and {len(missing) - MOST} more" if len(missing) > MOST else ""
    do = ("record it: rackwright log evidence, measure or passport; or the lead says by which document it is not owed: "
          "rackwright log evidence_owed")  # fmt: skip
    return no("RW556", serial, f"{serial} lacks evidence: {'; '.join(named)}{more}", do)


def _standing(state: State, rack: Serial, one: Owed) -> Standing:
    if one.not_owed:
        return Standing(one, f"not owed: {one.not_owed}, {one.document}, by {one.by}", seq=one.seq)
    if one.stated:
        return Standing(one, one.stated, seq=one.seq)
    given = _given(state, rack, one)
    if given.seq:  # there, or a document says that it did not pass
        return given
    if one.reading:
        return _read(state, rack, one)
    return _worked(state, rack, one) if one.process else given


def _given(state: State, rack: Serial, one: Owed) -> Standing:
    """By `evidence` that covers the rack, or each lot of it that is asked for."""
    given = state.evidence.get(one.evidence, ())
    lots = sorted(_lots(state, rack, one.of)) if one.each != "serial" else []
    since, work, day = undone(state, rack, one)
    stale = next(
        (each for each in reversed(given) if rack.serial in each.serials and not _of_now(each, since, day)),
        None,
    )
    last = {
        lot: next(
            (each for each in reversed(given) if _covers(each, rack, one, since, day) or lot in each.lots),
            None,
        )
        for lot in lots or [""]
    }
    stands = {each.seq: each for each in last.values() if each is not None}
    for each in stands.values():
        if not each.passed:
            return Standing(one, "", f"{each.document} of {each.date} did not pass: {each.found}", each.seq)
    for lot, found in last.items():
        if found is None:
            of = f"lot {lot}" if lot and any(each.lots for each in given) else rack.serial
            if stale is not None:
                before = f"{stale.document} of {stale.date} is of before {work} (event {since})"
                return Standing(one, "", before)
            return Standing(one, "", f"nothing in the record covers {of}")
    words = "; ".join(
        f"{each.document}, {each.date}, by {each.tested_by}{_of(each)}" for each in stands.values()
    )
    return Standing(one, words, seq=max(stands))


def _of(given: Evidence) -> str:
    what = given.revision or ", ".join(given.serials) or f"lot {', '.join(given.lots)}"
    return f", of {what}"


def _covers(given: Evidence, rack: Serial, one: Owed, since: int, day: str) -> bool:
    """Of this serial since it was worked on last, or of the whole revision."""
    of_it = rack.serial in given.serials and _of_now(given, since, day)
    return of_it or (one.each == "revision" and given.revision == rack.revision)


def _of_now(given: Evidence, since: int, day: str) -> bool:
    return given.seq > since and given.date >= day


def _read(state: State, rack: Serial, one: Owed) -> Standing:
    """By a reading of the rack, within its limits or accepted as it is; or by its points."""
    since, work, _ = undone(state, rack, one)
    if one.reading == POINTS:
        seq = rack.points_seq
        missing = f"{POINTS} are not measured" if not seq else _before(POINTS, seq, since, work)
        return Standing(one, f"measured, {len(rack.points)} points", missing, seq)
    last = next((each for each in reversed(state.measurements) if not each.piece
                 and (each.serial, each.characteristic) == (rack.serial, one.reading)), None)  # fmt: skip
    if last is None:
        return Standing(one, "", f"{one.reading} is not measured")
    if before := _before(one.reading, last.seq, since, work):
        return Standing(one, "", before, last.seq)
    if not last.within and not accepted_as_is(state, rack.serial, one.reading, last.seq):
        return Standing(one, "", f"{one.reading} is {last.value}", last.seq)
    return Standing(one, f"{last.value}, {last.gauge}, by {last.by}", seq=last.seq)


def _before(what: str, seq: int, since: int, work: str) -> str:
    return f"{what}: not measured since {work} (event {since})" if seq < since else ""


def _worked(state: State, rack: Serial, one: Owed) -> Standing:
    """By the process on every piece: a supplier's certificate, or the shop's own step."""
    pieces = [*_pieces(state, rack, one.of)]
    without = next((piece.piece for piece in pieces if one.process not in piece.done), "")
    if without or not pieces:
        return Standing(one, "", f"{one.process} of {without or ', '.join(one.of)} is not recorded")
    papers = [_paper(piece, one.process) for piece in pieces]
    numbers = dict.fromkeys(number for number, _ in papers if number)
    own = sum(not number for number, _ in papers)
    words = [f"certificate {', '.join(numbers)}"] if numbers else []
    words += [f"the shop's own step on {own} pieces"] if own else []
    return Standing(one, f"{one.process}: {', '.join(words)}", seq=max(seq for _, seq in papers))


def _paper(piece: Piece, process: str) -> tuple[str, int]:
    """The last certificate of outside work on a piece and its event; "" and 0 where the shop did it itself."""
    return next(
        ((number, seq) for name, number, seq in reversed(piece.outside_papers) if name == process), ("", 0)
    )


def _pieces(state: State, rack: Serial, of: Sequence[str]) -> Iterator[Piece]:
    """The pieces of a rack that are asked for: by stock specification, or by their names in the definition."""
    for name in rack.pieces:
        piece = state.pieces.get(name)
        if piece is None or piece.state in ("scrapped", "replaced"):
            continue
        stock = state.stock.get(piece.stock_id)
        if role(state, rack.revision, name) in of or (stock is not None and stock.stock_spec in of):
            yield piece


def _lots(state: State, rack: Serial, of: Sequence[str]) -> set[str]:
    """Lots and heats in a rack of what is asked for."""
    found = {piece.lot or piece.heat for piece in _pieces(state, rack, of)}
    return found | {
        lot for lot in rack.lots if any(one.stock_spec in of for one in state.stock.bearing("lot", lot))
    }


def _specs(state: State, lot: str) -> set[str]:
    """What a lot or heat is, by the stock specifications it came in as."""
    return {stock.stock_spec for stock in state.stock.values() if lot in (stock.lot, stock.heat)}


# --- the acts ------------------------------------------------------------------------------------


def owe(
    station: Station, evidence: str, document: str, *, order: str = "", revision: str = "", kind: str = "",
    text: str = "", each: str = "", of: Sequence[str] = (), process: str = "", not_owed: str = "", act_id: str = "",
) -> Appended:  # fmt: skip
    """A lead writes down what racks of an order or revision owe, on which document; or, with the reason in `not_owed`,
    that what is on the list is not owed by them."""

    def decide(state: State) -> list[Draft] | Refusal:
        body: dict[str, Any] = {"evidence": evidence, "kind": kind, "text": text, "document": document, "each": each,
                                "order": order, "revision": revision, "of": list(of), "process": process,
                                "not_owed": not_owed}  # fmt: skip
        known = _scope(state, order, revision).get(evidence)
        if not_owed and known is not None:  # the line as it stands
            held = {
                name: value for name, value in asdict(known).items() if name not in ("by", "seq", "document")
            }
            body |= held | {"of": list(known.of), "not_owed": not_owed}
        body = {name: value for name, value in body.items() if value}
        refused = first(person_may(state, station.person, LEAD, station.today), may_be_owed(state, body))
        return refused or [Draft("evidence_owed", body)]

    return perform(station, "evidence_owed", decide, act_id)


def may_be_owed(state: State, body: Mapping[str, Any]) -> Refusal | None:
    """Of one order or revision that is known; said whole; what is said not to be owed was on the list."""
    name, order, revision = body["evidence"], body.get("order", ""), body.get("revision", "")
    if bool(order) == bool(revision):
        return no("RW517", name, "neither order nor revision is named, or both are", "name one of them")
    if refused := order_known(state, order) if order else _frozen(state, revision):
        return refused
    if body.get("not_owed") and name not in _scope(state, order, revision):
        return _none_such(name, _scope(state, order, revision))
    lacking = [key for key in ("kind", "text", "each") if not str(body.get(key, "")).strip()]
    if lacking:
        return no(
            "RW517", name, f"no {', no '.join(lacking)} is given", "say what is asked, and of each what"
        )
    if body["each"] not in EACH:
        return no("RW517", name, f"asked of each {body['each']!r:.40}", f"one of {', '.join(EACH)}")
    if not body.get("of") and (body.get("process") or body["each"] == "lot"):
        found = "asked of each lot, or of a process, and not of what"
        return no(
            "RW517", name, found, "give `of`: stock specifications, or pieces as the definition names them"
        )
    return None


def _frozen(state: State, revision: str) -> Refusal | None:
    if revision in state.revisions:
        return None
    return no("RW514", revision, f"revision {revision} is not frozen", "freeze the definition first")


def _none_such(name: str, owed: Iterable[str]) -> Refusal:
    return no("RW503", name, f"no evidence named {name} is owed", f"owed are: {'; '.join(owed) or 'none'}")


def _scope(state: State, order: str, revision: str) -> dict[str, Owed]:
    """What is owed by the racks of an order, or of a revision whatever the order."""
    racks = [rack for rack in state.serials.values() if order == rack.order or revision == rack.revision]
    revisions = dict.fromkeys([*([revision] if revision else ()), *(rack.revision for rack in racks)])
    orders = dict.fromkeys([*([order] if order else ()), *(rack.order for rack in racks)])
    rows: dict[str, Owed] = {}
    for one in revisions:
        rows |= listed(state, one, orders)
    return rows


def give(
    station: Station, evidence: str, document: str, date: str, tested_by: str, paper: bytes, *, passed: bool = True,
    found: str = "", revision: str = "", lots: Sequence[str] = (), serials: Sequence[str] = (), act_id: str = "",
) -> Appended:  # fmt: skip
    """The evidence itself: its document, the paper kept by its hash, when and by whom, and what it covers."""
    file = station.record.put_file(paper) if paper else ""

    def decide(state: State) -> list[Draft] | Refusal:
        body: dict[str, Any] = {"evidence": evidence, "document": document, "date": date, "tested_by": tested_by,
                                "passed": passed, "found": found, "revision": revision, "lots": list(lots),
                                "serials": list(serials), "file": file}  # fmt: skip
        body = {name: value for name, value in body.items() if value not in ("", [])}
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            may_be_given(state, body, station.today),
        )
        return refused or [
            Draft("evidence", body, Refs.of(lots=lots, heats=lots, serials=serials, files=[file]))
        ]

    return perform(station, "evidence", decide, act_id, evidence=[file])


def may_be_given(state: State, body: Mapping[str, Any], today: str) -> Refusal | None:
    """Owed by what it covers, no wider than is asked; with its paper, of a day that has been."""
    name, named = body["evidence"], [key for key in ("revision", "lots", "serials") if body.get(key)]
    if len(named) != 1:
        found = f"it covers {' and '.join(named) or 'nothing'}"
        return no("RW517", name, found, "name one: a revision, its lots or heats, or serials")
    if not body.get("file"):
        return no("RW517", name, "its paper is not given", "give the file of the report or certificate")
    if body["date"] > today:
        return no("RW517", name, f"dated {body['date']}, today is {today}", "give the date on the document")
    if not body["passed"] and not body.get("found", "").strip():
        return no("RW517", name, "it did not pass, and nothing says what was found", "give `found`")
    covers = {"revision": _of_revision, "lots": _of_lots, "serials": _of_serials}[named[0]]
    return covers(state, name, body[named[0]])


def _of_revision(state: State, name: str, revision: str) -> Refusal | None:
    if refused := _frozen(state, revision):
        return refused
    rows = _scope(state, "", revision)
    if name not in rows:
        return _none_such(name, rows)
    if rows[name].each == "revision":
        return None
    found = f"{name} is asked of each {rows[name].each}: one of {revision} does not cover them"
    return no("RW517", name, found, f"name the {rows[name].each}s that it covers")


def _of_lots(state: State, name: str, lots: Sequence[str]) -> Refusal | None:
    rows = {key: row for revision in state.revisions for key, row in _scope(state, "", revision).items()} | {
        key: row for order in state.orders for key, row in _scope(state, order, "").items()
    }
    if name not in rows:
        return _none_such(name, rows)
    row = rows[name]
    if row.each == "serial" or not row.of:
        found = f"{name} is asked of each {row.each}" + ("" if row.of else ", and not of what")
        return no("RW517", name, found, "name the serials that it covers")
    for lot in lots:
        specs = _specs(state, lot)
        if not specs:
            return no("RW503", lot, f"no lot or heat {lot} is in the record", "check the label")
        if not specs & set(row.of) and not any(
            lot in (piece.lot, piece.heat) and role(state, piece.revision, piece.piece) in row.of
            for piece in state.pieces.values()
        ):
            found = f"{lot} is {', '.join(sorted(specs))}; {name} is asked of {', '.join(row.of)}"
            return no("RW517", lot, found, "name the lots that it covers")
    return None


def _of_serials(state: State, name: str, serials: Sequence[str]) -> Refusal | None:
    for serial in serials:
        if refused := serial_known(state, serial):
            return refused
        rows = [row.evidence for row in owed_of(state, serial)]
        if name not in rows:
            return _none_such(name, rows)
    return None
