"""Sentences of a rack's later life: it comes back, is worked on, goes back to service."""

from __future__ import annotations

import racks
import small_shop as small
from rackwright.record import Appended
from rackwright.work.metal.sawing import piece_id
from rackwright.work.serials.shipping import installed
from rackwright.work.service.anew import coated, with_anew
from rackwright.work.service.carrying import Swap, swap
from rackwright.work.service.coming_back import Arrival, come_back
from rackwright.work.service.putting_back import back_to_service
from rackwright.work.service.working import Done, service_work
from rackwright.work.station import Station
from rackwright.work.stations.assembling import assemble
from stories.shop import Day, Words, sentence


@sentence(r"takes back (?P<serial>SN-\d) on (?P<day>\S+)(?:, (?P<hours>\S+) h in service)?: (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    said = Arrival("the hangar", "DN-31", w["reason"], "as stated", w["day"], w["hours"] or "")
    return come_back(at, w["serial"], said)


@sentence(
    r"records (?P<kind>\w+) (?P<work>\S+) on (?P<serial>SN-\d) by (?P<document>[^ ,:]+)(?:, pieces (?P<pieces>[^;:]+))?"
    r"(?:; joints (?P<joints>[^;:]+))?(?:; after (?P<ncr>[^;:]+))?(?:; by way of (?P<method>[^;:]+))?"
    r"(?:; measure (?P<names>[^;:]+))?(?:; dated (?P<date>[^;:]+))?: (?P<text>.+)"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    """A strip of all that is coated where no piece is named."""
    serial, state = w["serial"], day.state
    named = [piece_id(serial, one.strip()) for one in (w["pieces"] or "").split(",") if one.strip()]
    if w["kind"] == "strip" and not named and serial in state.serials:
        named = [*coated(state, small.design(), serial)]
    joints = tuple(one.strip() for one in (w["joints"] or "").split(",") if one.strip())
    done = Done(
        w["work"], w["kind"], w["text"], w["document"], "an invented holder", w["date"] or day.date, tuple(named),
        joints, w["ncr"] or "", w["method"] or "",
    )  # fmt: skip
    names = [one.strip() for one in (w["names"] or "").split(",") if one.strip()]
    done = with_anew(state, done, small.design(), small.shop(), serial, names)
    return service_work(at, serial, done)


@sentence(r"tightens (?P<what>all that is loose|joint \S+) of (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    loose = day.state.service[w["serial"]].loose
    wanted = loose if w["what"].startswith("all") else (w["what"].split()[1],)
    done = [one for one in small.joints() if one.bolt in wanted]
    return assemble(at, w["serial"], [], done, "J-47", [])


@sentence(r"puts (?P<serial>SN-\d) back to service after (?P<works>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    works = [] if w["works"] == "nothing" else [one.strip() for one in w["works"].split(",")]
    return back_to_service(at, w["serial"], works, "", small.design(), small.shop())


@sentence(
    r"swaps the (?P<item>.+) of (?P<serial>SN-\d) for (?P<mass>[\d.]+ lb) by the (?P<who>\w+)(?:, on (?P<day>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    """The bare frame carries nothing: the standard with its equipment stands in its place."""
    said = Swap(w["item"], w["who"], "MAIL-1", mass=w["mass"], day=w["day"] or "")
    return swap(at, w["serial"], said, racks.design_of())


@sentence(r"says that (?P<serial>SN-\d) flies in (?P<aircraft>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return installed(at, w["serial"], w["aircraft"], "MAIL-9")


@sentence(
    r"moves the (?P<item>.+) of (?P<serial>SN-\d) to (?P<at>[\d.]+ in, [\d.]+ in) on (?P<shelf>\w+) by the (?P<who>\w+)"
    r"(?:, its holes (?P<holes>\w+)(?: by (?P<ncr>\S+))?)?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    where = tuple(one.strip() for one in w["at"].split(","))
    said = Swap(w["item"], w["who"], "MAIL-1", mass="24 lb", shelf=w["shelf"], at=where, holes=w["holes"] or "",
                nonconformance=w["ncr"] or "")  # fmt: skip
    return swap(at, w["serial"], said, racks.design_of())
