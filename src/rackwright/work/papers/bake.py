"""The bake chart: what every probe read, the cure window met or not, the hottest limit, the answer in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from rackwright.design import Design
from rackwright.making.oven.bake import Cure, cure, degf
from rackwright.making.oven.exposure import exposed
from rackwright.making.oven.thermocouples import Log, read_thermocouples
from rackwright.papers.chart import Chart, Limit, Line, Window, chart_svg
from rackwright.papers.table import Block, Picture, Table, Text
from rackwright.pieces.oven_time import PROPERTIES, Bake, baked, curves_of, knock_down, onset
from rackwright.rack.model import Finish
from rackwright.record import Event
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.papers.words import in_unit, number

__all__ = ["bake_blocks", "bake_logs", "bake_text", "ledger_blocks", "logs_of"]


def logs_of(files: Mapping[str, bytes]) -> tuple[Log, ...]:
    """The thermocouple files in the order of the runs. Raises Stopped with every fault of a file."""
    logs = []
    for name, data in files.items():
        log, faults = read_thermocouples(data, name)
        if log is None:
            raise Stopped(faults)
        logs.append(log)
    return tuple(logs)


def bake_logs(events: Sequence[Event], get: Callable[[str], bytes]) -> dict[str, bytes]:
    """Thermocouple files that recorded bakes carry: name -> bytes, each once, in the order of the bakes."""
    found: dict[str, bytes] = {}
    for event in events:
        if event.type == "bake":
            for hash in event.refs.files:
                found.setdefault(str(event.body.get("values", {}).get("log", hash[:12])), get(hash))
    return found


def bake_text(answer: Cure) -> str:
    """The answer in words: cured or not and why, and the hottest metal."""
    best = max(answer.points, key=lambda one: one.longest / max(one.point.time, 1.0), default=None)
    if best is None:
        return "NO ANSWER: no cure point is given."
    said = {"cured": "CURED", "interrupted": "INTERRUPTED, not cured", "not cured": "NOT CURED",
            "no answer": "NO ANSWER: a probe is missing"}[answer.state]  # fmt: skip
    window = (
        f"{said}: the longest unbroken window with every probe at {_degf(best.point.metal)} or more lasted "
        f"{number(best.longest / 60, 1)} min of the {number(best.point.time / 60, 0)} min needed"
    )
    added = (
        f" ({number(best.total / 60, 1)} min in all; windows are not added up)"
        if len(best.windows) > 1
        else ""
    )
    probe, kelvin, seconds = answer.hottest
    hot = f"{'TOO HOT: ' if answer.too_hot else ''}hottest was probe {probe} with {_degf(kelvin)} after "
    return (
        f"{window}{added}; {hot}{number(seconds / 60, 0)} min, at most {_degf(answer.most_metal)} is allowed."
    )


def _degf(kelvin: float) -> str:
    return f"{number(degf(kelvin), 0)} °F"


def bake_blocks(log: Log, finish: Finish, shop: Shop) -> Iterator[Block]:
    """Chart, answer and windows of one run."""
    probes = [one.name for one in shop.oven.probe] if shop.oven else []
    gap = shop.oven.longest_gap if shop.oven else float("inf")
    answer = cure(log, finish, probes, gap)
    points = sorted(answer.points, key=lambda one: (not one.met, -one.longest / max(one.point.time, 1.0)))
    shown = points[0] if points else None
    windows = () if shown is None else tuple(
        Window(start / 60, end / 60, degf(shown.point.metal), f"{number((end - start) / 60, 1)} min")
        for start, end in shown.windows
    )  # fmt: skip
    chart = Chart(
        f"{log.file}: {', '.join(log.names)} against time; {bake_text(answer)}",
        "time, min", "metal temperature, °F",
        tuple(Line(name, tuple((t / 60, degf(k)) for t, k in zip(log.times, row, strict=True)))
              for name, row in log.probes),
        (*(Limit(f"cure {_degf(one.point.metal)}, {number(one.point.time / 60, 0)} min", degf(one.point.metal))
           for one in answer.points),
         Limit(f"most {number(degf(finish.most_metal), 0)} °F", degf(finish.most_metal))),
        windows,
    )  # fmt: skip
    yield Picture(
        chart_svg(chart), chart.alt, f"{log.file}. Shaded: every probe at or above the cure point.", 1.0
    )
    yield Text(bake_text(answer), "body" if answer.state == "cured" and not answer.too_hot else "caution")
    slow = answer.slowest
    note = "Any one cure point that is met cures; the powder maker's data rule."
    if slow is not None:
        note += (
            f" Slowest metal: probe {slow[0]}, after {number(slow[1] / 60, 1)} min; the clock starts with it."
        )
    yield Table(
        "",
        ("cure point", "needed", "longest window", "in all", "windows, min", "answer"),
        tuple((_degf(one.point.metal), f"{number(one.point.time / 60, 0)} min", f"{number(one.longest / 60, 1)} min",
               f"{number(one.total / 60, 1)} min",
               ", ".join(f"{number(a / 60, 1)} to {number(b / 60, 1)}" for a, b in one.windows) or "none",
               "met" if one.met else "NOT met") for one in answer.points),
        align="rrrrll",
        note=note,
    )  # fmt: skip


def ledger_blocks(design: Design, logs: Sequence[Log]) -> Iterator[Block]:
    """The exposure ledger: every run counted, and what the tempers may have kept."""
    rows, names = design.rack.rows, sorted(baked(design.pieces.made))
    curves = [
        one for metal in names for name in PROPERTIES for one in curves_of(rows, rows.materials[metal], name)
    ]
    if not curves:
        yield Text(
            "No exposure curve of these tempers is known: what bakes take from them is not known.", "caution"
        )
        return
    above = onset(curves)
    bakes = [exposed(log.file, log, above) for log in logs]
    yield Table(
        "Bakes so far, strip and recoat included",
        ("run", f"minutes at or above {number(degf(above), 0)} °F", "hottest"),
        (*((one.name, number(one.seconds / 60, 1), _degf(one.hottest)) for one in bakes), _sum(bakes)),
        align="irr",
    )
    down = knock_down(rows, names, bakes)
    sources = dict.fromkeys(one.why for one in down if one.share is not None)
    yield Table(
        "What the temper may have kept after them",
        ("material", "property", "allowable", "share kept", "why not known"),
        tuple((one.material, one.name, "–" if one.allowable is None else in_unit(one.allowable, "ksi", 1),
               "not known" if one.share is None else f"{number(100 * one.share, 1)} %",
               one.why if one.share is None else " ")
              for one in down),
        align="illrl",
        note="All counted time as if at the hottest reading. UNCONFIRMED like the curves. The rack is proven "
        "with it, or with what the definition's oven time leaves where that is less. "
        f"Curves: {'; '.join(sources) or 'none'}.",
    )  # fmt: skip


def _sum(bakes: Sequence[Bake]) -> tuple[str, str, str]:
    hottest = max((one.hottest for one in bakes), default=0.0)
    return "all", number(sum(one.seconds for one in bakes) / 60, 1), _degf(hottest)
