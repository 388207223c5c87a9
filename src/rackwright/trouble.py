"""What can go wrong, drawn as one tree, and the marks that every result carries.

    Trouble
    ├── Fault     the input or the usage is wrong         exit 2
    ├── Refusal   a gate or a margin says no              exit 1
    └── Failure   the machine failed: disk full, I/O error exit 3
    (anything else that goes wrong is a fault of ours:    exit 3)

Faults are values and are collected: a reader returns `(thing or None, [Fault, ...])` and never
raises for a user's mistake. `Stopped` is the one exception; it carries troubles to the face that
prints them. Every code is listed in `CODES`, explained by `rackwright explain CODE`, and never
reused for another meaning.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = [
    "CODES",
    "DEFERENCE",
    "FAMILIES",
    "PRELIMINARY",
    "REPLACED",
    "UNCONFIRMED",
    "Code",
    "Failure",
    "Fault",
    "Refusal",
    "Stopped",
    "Trouble",
    "Where",
]

# --- the marks -----------------------------------------------------------------------------------
# Every face and paper shows the marks of what it shows; marks add up.

DEFERENCE = (
    "Calculation aid. Not approved data. Use requires approval by the holder of the design approval, "
    "a designee or the airworthiness authority; drawings, makers' instructions and local codes take "
    "precedence."
)
PRELIMINARY = "PRELIMINARY"  # an open question stands behind this result
UNCONFIRMED = "UNCONFIRMED"  # a row behind this result is transcribed or from memory, not yet compared
REPLACED = "OWN ROW"  # behind this result a row of the shop's own stands where one was shipped


# --- the family ----------------------------------------------------------------------------------


@dataclass(frozen=True, order=True)
class Where:
    """The place in a user's input: file name, 1-based line (0 = whole file), dotted field or pointer."""

    file: str
    line: int = 0
    field: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place} {self.field}".rstrip()


@dataclass(frozen=True)
class Trouble:
    """One thing that is wrong: its code, where, what was found, and what would do."""

    code: str
    where: Where
    found: str
    do: str

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise KeyError(f"trouble code {self.code} is not in CODES")

    def __str__(self) -> str:
        return f"{self.where}: {self.found}; {self.do} [{self.code}]"

    def to_json(self) -> dict[str, str | int]:
        return {
            "code": self.code,
            "file": self.where.file,
            "line": self.where.line,
            "field": self.where.field,
            "found": self.found,
            "do": self.do,
        }


class Fault(Trouble):
    """The input or the usage is wrong."""


class Refusal(Trouble):
    """The input is sound, and the answer is no: a gate, a missing or negative margin, an unknown id."""


class Failure(Trouble):
    """The machine failed: the disk is full or broken. Nothing is retried; the words say what is safe."""


class Stopped(Exception):
    """Carries one or more troubles out to a face. Failures outrank faults, faults refusals, in the exit code."""

    def __init__(self, troubles: Iterable[Trouble]) -> None:
        self.troubles: tuple[Trouble, ...] = tuple(troubles)
        super().__init__("\n".join(map(str, self.troubles)))

    @property
    def exit_code(self) -> int:
        ranks = ((3, Failure), (2, Fault))
        return next((code for code, kind in ranks if any(isinstance(t, kind) for t in self.troubles)), 1)


# --- the codes -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Code:
    """What a trouble code means, and the usual remedy, for `rackwright explain`."""

    meaning: str
    remedy: str


#: the first digit of a code -> what its hundred is about
FAMILIES: dict[str, str] = {
    "RW0": "usage and files",
    "RW1": "definitions: rack, shop and stock files",
    "RW2": "pieces: the definition is readable, but cannot be built",
    "RW3": "strength",
    "RW4": "making",
    "RW5": "record and gates",
    "RW6": "seals",
    "RW7": "papers",
}

CODES: dict[str, Code] = {
    # RW0xx usage and files
    "RW000": Code("A fault of ours; the input may be sound.", "Report it with the command and its input."),
    "RW001": Code("The command was used wrongly.", "Read `rackwright COMMAND --help`."),
    "RW002": Code("A file could not be read.", "Check the path and its permissions."),
    "RW003": Code(
        "The file is not text in UTF-8.", "Save it as UTF-8 text; a binary file was probably given."
    ),
    "RW004": Code("The file is empty.", "Give a file with content; `rackwright new` writes examples."),
    "RW005": Code("The file is larger than 5 MB or nested deeper than 64 levels.", "Split or simplify it."),
    "RW006": Code("The file is not valid TOML.", "Mend the named line."),
    "RW007": Code("The file is not valid JSON.", "Mend the named line."),
    "RW008": Code(
        "An extra of the installation is missing.",
        "Install the named extra, or go without as the fault says.",
    ),
    # RW1xx definitions (rack, shop, stock files)
    "RW101": Code("A field that must be given is missing.", "Add the field."),
    "RW102": Code("A field is not known here.", "Remove it, or correct its spelling."),
    "RW103": Code("A value is of the wrong kind.", "Give the kind of value named."),
    "RW104": Code("A quantity has no unit or an unknown unit.", 'Write number and unit, as in "17 1/2 in".'),
    "RW105": Code("The number of a quantity could not be read.", "Decimal (17.5) or shop fraction (17 1/2)."),
    "RW106": Code("A value is outside what is possible.", "Give a value in the range named."),
    "RW107": Code("A name is used twice.", "Names must be unique."),
    "RW108": Code("A name that is referred to does not exist.", "Define it, or correct its spelling."),
    "RW109": Code("A variation's base leads back to itself.", "Name a standard that does not depend on it."),
    "RW110": Code("The format line is missing or names another format.", "Give the format named."),
    "RW111": Code(
        "A reference row does not say where it comes from.", "Give source, place in it, and how it is known."
    ),
    "RW112": Code("No formula has this name.", "`rackwright calc list` names them all."),
    "RW113": Code(
        "A formula's symbol is missing, unknown or given twice.", "Give each symbol of its card once."
    ),
    "RW114": Code("A formula has no value for these numbers.", "Give values inside the range on its card."),
    # RW2xx pieces: the definition is readable, but cannot be built
    "RW201": Code("A shelf lies outside the frame.", "Move it between the bottom and the top."),
    "RW202": Code("Two pieces or keep-outs overlap.", "Move one of them."),
    "RW203": Code("A hole is too near an edge or another hole.", "Move the hole or use a smaller fastener."),
    "RW204": Code("Two bolts, or their holes, meet inside a block.", "Stagger them along the spigot."),
    "RW205": Code("A panel, rail or screw does not fit between the posts.", "Change rail or width."),
    "RW206": Code("A length is not positive after the blocks are taken off.", "Make the rack larger."),
    "RW207": Code("A closed tube that is to be coated has no vent and drain holes.", "Add them to the tube."),
    "RW208": Code("Unlike metals meet without a named protection.", "Name the protection of the pair."),
    "RW209": Code(
        "A brace or its gusset does not fit.", "Move its end, or change its bolts, as the message says."
    ),
    # RW3xx strength
    "RW301": Code("The frame case is not sound.", "See the format named in the message."),
    "RW302": Code("The frame has no equilibrium under this load case.", "Hold the freedom named."),
    "RW303": Code("A margin is negative.", "Strengthen the part named or lower its load."),
    "RW304": Code(
        "A required margin is missing because a value has no source.", "Give value, source and name."
    ),
    "RW305": Code(
        "In vibration, a mode is nearer to a harmonic than its document allows, or a peak exceeds what is allowed.",
        "Change stiffness, mass or pretension, or isolate the item.",
    ),
    "RW320": Code(
        "A test given as evidence covers no margin.", "Name margin ids as `prove --json` gives them."
    ),
    # RW4xx making
    "RW401": Code("The cutting instance is not sound.", "See the format named in the message."),
    "RW402": Code("The pieces cannot all be cut from the stock given.", "Add stock as listed under `short`."),
    "RW403": Code("A mitre is steeper than the saw swings.", "Move the brace's end, or take another saw."),
    "RW411": Code("A bend does not fit between bolts, bend and eye.", "Longer reach, or a smaller radius."),
    "RW412": Code("Flat blanks do not fit on the plates given.", "Add plate as listed, or a larger one."),
    "RW413": Code(
        "A bend is tighter than its metal allows.", "A radius of at least the one told, or other metal."
    ),
    "RW430": Code("The thermocouple log is not sound.", "Mend the named line; probes and time need units."),
    "RW431": Code("The bake did not cure the powder.", "Bake again by the powder maker's data; it adds up."),
    "RW432": Code("The metal was, or would be, hotter than it may.", "Lower the oven; judge the temper."),
    "RW433": Code("A piece does not fit the oven.", "Use a larger oven, or outside work."),
    "RW434": Code("No probe sits where the bake is decided.", "Put a probe on the slowest kind of piece."),
    "RW435": Code("The measured points of a rack are not sound.", "Mend the named line."),
    "RW441": Code("An operation comes before one that it needs.", "Put it after those it names."),
    "RW442": Code("Something that the oven would spoil comes before the bake.", "Put it on after the bake."),
    "RW443": Code("The open orders cannot be sequenced.", "Give what the message names, then ask again."),
    # RW5xx record and gates
    "RW501": Code("The record could not be opened or written.", "See the message; nothing was lost."),
    "RW502": Code("The record was changed since it was read.", "Look again and decide anew."),
    "RW503": Code("An id is not known to the record.", "Check the id; `rackwright log list` shows all."),
    "RW504": Code("An event is not well formed.", "Give the fields named."),
    "RW505": Code(
        "An event or the tree does not match what was recorded.", "Restore from backup; see audit."
    ),
    "RW506": Code("An act id was used again for something else.", "Make a new act id for a new act."),
    "RW507": Code("A file named in the record is missing or altered.", "Restore it from backup."),
    "RW508": Code("This is not an export of a record.", "Give a file written by `rackwright export`."),
    "RW509": Code(
        "The record is behind, or not the one, that signed this head.", "Look for the newer copy; see audit."
    ),
    "RW510": Code(
        "The gate refuses: certificate missing or below the specification.", "Correct or replace it."
    ),
    "RW511": Code("The gate refuses: stock is not accepted or already taken.", "Issue other stock."),
    "RW512": Code("The gate refuses: a gauge is past its calibration date.", "Use a gauge in calibration."),
    "RW513": Code("The gate refuses: an open question blocks this.", "Record its answer with a document."),
    "RW514": Code("The gate refuses: no design-approval reference is recorded.", "Record the reference."),
    "RW515": Code("The gate refuses: a measurement is missing or out of limits.", "Measure, or disposition."),
    "RW516": Code("The gate refuses: this person may not do this.", "Another person with the role must."),
    "RW517": Code("The gate refuses: the act does not fit what was recorded before.", "See the message."),
    "RW518": Code(
        "The gate refuses: a step of the route before this one is not recorded.", "Do and record it."
    ),
    "RW519": Code(
        "The gate refuses: a process did not meet its rule.", "Repeat it, or disposition the pieces."
    ),
    "RW520": Code(
        "The gate refuses: no acceptance by the approval holder is recorded.", "Record its document."
    ),
    "RW521": Code("The gate refuses: a joint has no torque, wrench, lot or person.", "Record the joint."),
    "RW522": Code("The gate refuses: not weighed, or too far from the computed mass.", "Weigh, or explain."),
    "RW523": Code("This is not a backup, or it is damaged.", "Give another copy, or an older backup."),
    "RW524": Code(
        "The gate refuses: the rack's points are not measured, or it and another rack differ by too much.",
        "Measure every interchange point; or have the difference dispositioned.",
    ),
    "RW525": Code(
        "The gate refuses: a rule is from memory or without its amendment.",
        "Compare it with the code, and record who did: `rackwright log row_confirmed`.",
    ),
    "RW526": Code(
        "The gate refuses: this station's clock is more than a day behind what is recorded.",
        "Set the clock; or the lead records `rackwright log clock`, where the recorded time was wrong.",
    ),
    "RW531": Code(
        "The gate refuses: a reference row behind the report is UNCONFIRMED.",
        "Compare the row with its source, and record who did: `rackwright log row_confirmed`.",
    ),
    "RW532": Code(
        "The gate refuses: an outside check does not give its number on this machine.",
        "Mend the installation.",
    ),
    "RW533": Code(
        "The gate refuses: the checker of a report is its preparer, or nobody checked this revision.",
        "Another person must check the revision that is to be released.",
    ),
    "RW534": Code(
        "The gate refuses: this is not the newest revision of the report, or its inputs have changed since.",
        "Prepare a new revision; earlier signatures do not apply to it.",
    ),
    "RW535": Code(
        "The gate refuses: no released strength report stands behind this rack.",
        "Release the report; or an engineer says why it may leave without: `rackwright log without_report`.",
    ),
    "RW536": Code(
        "The gate refuses: the frozen texts give other numbers today than when they were frozen.",
        "Find out why, and freeze a new revision; or use the program that froze this one.",
    ),
    "RW545": Code(
        "The gate refuses: this act is to be signed.", "Give the PIN or password of the person who acts."
    ),
    "RW546": Code(
        "The gate refuses: a wrong PIN or password.", "Try again; a row of wrong ones makes the person wait."
    ),
    "RW547": Code(
        "The gate refuses: the price lacks a line, so there is nothing to offer.", "Give what it asks for."
    ),
    "RW548": Code(
        "The gate refuses: a clause of the order has no evidence, or the contract is not reviewed as it stands.",
        "Record the evidence (`rackwright log clause_met`) or the review (`rackwright log contract_review`).",
    ),
    "RW549": Code(
        "The server refuses a request: no session, from another site, or not to its address.",
        "Sign in on the page that `rackwright serve` prints; a program sends that address as Origin.",
    ),
    "RW550": Code(
        "The gate refuses: a red line or engineering change asks for a step or measurement anew.",
        "Do it and record it; or the lead lifts the red line with a reason (`rackwright log red_line_lifted`).",
    ),
    "RW551": Code(
        "The gate refuses a correction: the event, or this of it, is not corrected, or would have been refused so.",
        "Make the event void where nothing rests on it, and record it anew; a decision is answered by another act.",
    ),
    "RW555": Code(
        "The gate refuses: a hold point is not signed off.",
        "An inspector who did not make it signs: `rackwright log hold_point`.",
    ),
    "RW556": Code(
        "The gate refuses: evidence that the rack owes before its release is not there.",
        "Record it (`rackwright log evidence`); or the lead says by which document it is not owed "
        "(`rackwright log evidence_owed`).",
    ),
    # RW6xx seals
    "RW601": Code("The dossier or its seal is broken.", "Get a fresh copy from the shop."),
    "RW602": Code("This is not a dossier or a seal.", "Give SERIAL.pdf with SERIAL.seal beside it."),
    "RW603": Code("The cryptography package is missing.", "Run `pip install cryptography`."),
    "RW604": Code("This is not a key or a key id.", "Give the key file, or the 64 hex digits of the id."),
    # RW7xx papers
    "RW701": Code("A paper could not be written.", "Check the folder; nothing half-written is left."),
}
