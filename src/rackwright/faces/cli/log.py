"""`rackwright log`: list what is recorded, or record one act; the gates decide."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rackwright.faces.acts.desk import Desk
from rackwright.faces.acts.types import TYPES, Type
from rackwright.faces.cli.show import one_line, table
from rackwright.faces.cli.sign import SIGN, given, new_secret, signing

if TYPE_CHECKING:
    from rackwright.record import Appended, Event
    from rackwright.trouble import Trouble

__all__ = ["log"]

ELSEWHERE = {
    "found": "rackwright new DIR", "freeze": "rackwright freeze FILE", "dossier": "rackwright papers SERIAL",
}  # fmt: skip


class _Acts(click.Group):
    """`list`, and a command for every type of act that has a verb."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] in ELSEWHERE:
            raise click.UsageError(f"{args[0]!r} is recorded by `{ELSEWHERE[args[0]]}`.", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([("list", "what is recorded, oldest first")]
                               + [(name, kind.words) for name, kind in TYPES.items()])  # fmt: skip


@click.group(cls=_Acts)
def log() -> None:
    """List what is recorded, or record one act. The gates decide; a refusal is recorded too, and ends with 1.

    \b
    Example:   rackwright log list --type release
               rackwright log receive --by 'B. Tarrow' --from stock.toml
               rackwright log answer --by 'A. Quill' question=Q1 answer='5000 lbf' document=MAIL-77

    `recorded N TYPE` is printed only after the event is on the disk.
    """


_SHOP = click.Option(
    ["--shop"], metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
_JSON = click.Option(["--json", "as_json"], is_flag=True, help="Print one JSON document.")


# --- listing -------------------------------------------------------------------------------------


@log.command("list")
@click.option(
    "--type", "types", metavar="TYPE", multiple=True, help="Only events of this type; may be repeated."
)
@click.option("--after", type=click.IntRange(0), default=0, help="Only events after this number.")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def list_(types: tuple[str, ...], after: int, shop: str | None, as_json: bool) -> None:
    """What is recorded, oldest first.

    \b
    Example:   rackwright log list --type refusal --after 120
    """
    from difflib import get_close_matches

    from rackwright.record import EVENTS
    from rackwright.work.keeping.shop_folder import folder_of, open_record

    for name in types:
        if name not in EVENTS:
            near = get_close_matches(name, EVENTS, n=1)
            raise click.UsageError(
                f"{name!r} is not a type of event." + (f" Did you mean {near[0]!r}?" if near else "")
            )
    with open_record(folder_of(shop)) as record:
        head, events = record.look()
    chosen = [event for event in events if event.seq > after and (not types or event.type in types)]
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"format": "rackwright/log/1", "head": {"size": head.size, "root": head.root},
                    "events": [event.to_json() for event in chosen]})  # fmt: skip
        return
    table("seq> at< type< by< what<",
          [(str(e.seq), e.at, e.type, one_line(e.by), one_line(_words(e))) for e in chosen], indent="")  # fmt: skip


def _words(event: Event) -> str:
    """The first texts of the body in the order of its layout: its id, and what it says."""
    from rackwright.record import EVENTS

    body = event.body
    if event.corrects is not None:
        what = [f"{name}={value}" for name, value in body.get("fields", {}).items() if isinstance(value, str)]
        return f"event {event.corrects}: {', '.join(what) or 'void'}, {body.get('reason')}"[:90]
    if event.type == "refusal":
        return f"{body.get('act')}: {body.get('found')} [{body.get('code')}]"
    names = [name.rstrip("?") for name in EVENTS[event.type].fields] if event.type in EVENTS else list(body)
    late = [f"done {body['late']['done']}, entered late"] if "late" in body else []
    late += [f"with {len(body['attached'])} attached"] if "attached" in body else []
    texts = late + [body[name] for name in names if isinstance(body.get(name), str) and body[name]]
    return ", ".join(text for text in texts if len(text) < 64)[:90]


# --- recording -----------------------------------------------------------------------------------


def _command(name: str, kind: Type) -> click.Command:
    """The command of one type of act."""

    def record(
        by: str, words: tuple[str, ...], source: str | None, act: str, done_at: str, scan: str | None,
        attach: tuple[str, ...], sign: str | None, shop: str | None, as_json: bool,
    ) -> int:  # fmt: skip
        return _record(name, by, words, source, act, (done_at, scan), attach, sign, shop, as_json)

    keys = "\n".join(f"    {field.name + ('' if field.needed else '?'):16} {field.kind:8} {field.words}"
                     for field in kind.fields)  # fmt: skip
    said = f"{kind.words[0].upper()}{kind.words[1:]}."
    text = f"{said}\n\n\b\nExample:   rackwright log {name} --by 'A. Quill' {kind.example}\n"
    text += f"\n\b\nKeys (those with ? may be left out):\n{keys}\n"
    file = kind.file or "Keys from a TOML or JSON file."
    params: list[click.Parameter] = [
        click.Argument(["words"], metavar="[KEY=VALUE]...", nargs=-1),
        click.Option(["--by"], metavar="NAME", required=True, help="The person who acts, as recorded."),
        click.Option(["--from", "source"], metavar="FILE", help=file),
        click.Option(
            ["--act"], metavar="ID", default="", help="An id of your own: repeating it does nothing twice."
        ),
        click.Option(
            ["--done-at"],
            metavar="WHEN",
            default="",
            help="Entered late: the day, or time in UTC, that the paper says it was done.",
        ),
        click.Option(["--scan"], metavar="FILE", help="The scan of that paper; kept by its hash."),
        click.Option(
            ["--attach"],
            metavar="FILE",
            multiple=True,
            help="A photo, chart or machine's log of this act; kept by its hash. May be repeated.",
        ),
        SIGN,
        _SHOP,
        _JSON,
    ]
    return click.Command(name, callback=record, params=params, help=text, short_help=kind.words)


def _record(
    name: str, by: str, words: tuple[str, ...], source: str | None, act: str, late: tuple[str, str | None],
    attached: tuple[str, ...], sign: str | None, shop: str | None, as_json: bool,
) -> int:  # fmt: skip
    from rackwright.faces.acts.values import asked_for, read_values
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Stopped
    from rackwright.work.keeping.shop_folder import folder_of
    from rackwright.work.outcome import BETTER, COARSE, UNDECIDED, too_coarse
    from rackwright.work.station import Late, attach, open_station

    kind = TYPES[name]
    data = read_bytes(source) if source and not kind.file else None
    values = read_values(kind.fields, words, source, data)
    folder, lines, sets = folder_of(shop), given(sign), name == "secret"
    if late[1] and not late[0]:
        raise click.UsageError("--scan is of a paper: give --done-at, when it says that this was done.")
    paper = read_bytes(late[1]) if late[1] else b""
    files = _attached(attached)
    station = open_station(folder, by)
    recorded: list[dict[str, Any]] = []
    try:
        if late[0]:
            station = replace(station, late=Late(late[0], paper))
        station = attach(station, files)
        station = replace(station, asked=asked_for(by, name, values))
        desk = Desk(
            signing(station, lines, codes=sets), folder, source, act, new_secret(lines) if sets else ""
        )
        for done in _acts(kind, desk, values):
            for event in done.events:
                recorded.append(event.to_json())
                click.echo(f"recorded {event.seq} {event.type}", err=as_json)
                for line in event.body.get("changes", ()):
                    click.echo(f"  {one_line(str(line))}", err=as_json)
                guard = event.body.get("guard", {})
                if guard.get("undecided"):
                    what = f"{event.body['characteristic']} is {event.body['value']}"
                    click.echo(f"  {one_line(what)}, {UNDECIDED}: {BETTER}", err=True)
                if guard and too_coarse(guard.get("lower", ""), guard.get("upper", "")):
                    who = f"gauge {event.body['gauge']} {COARSE}: {event.body['characteristic']}"
                    click.echo(f"  {one_line(who)}", err=True)
                if "note" in event.body:
                    click.echo(f"  note: {one_line(str(event.body['note']))}", err=True)
    except Stopped as stopped:
        if not as_json:
            raise
        _answer(recorded, stopped.troubles)
        return stopped.exit_code
    finally:
        station.record.close()
    if as_json:
        _answer(recorded, ())
    elif not recorded:
        click.echo("nothing to record", err=True)
    return 0


def _attached(paths: tuple[str, ...]) -> dict[str, bytes]:
    """Files by their names. Raises Stopped: one that cannot be read or is too large; as `attachments`."""
    from rackwright.faces.acts.desk import MAX_PAPER, attachments
    from rackwright.faces.cli.files import read_bytes

    return attachments((one_line(path), Path(path).name, read_bytes(path, MAX_PAPER)) for path in paths)


def _acts(kind: Type, desk: Desk, values: dict[str, Any]) -> Iterator[Appended]:
    done = kind.do(desk, values)
    if isinstance(done, Iterator):
        yield from done
    else:
        yield done


def _answer(recorded: list[dict[str, Any]], troubles: tuple[Trouble, ...]) -> None:
    from rackwright.faces.cli.main import print_json

    document: dict[str, Any] = {"format": "rackwright/recorded/1", "recorded": recorded}
    if troubles:
        document["trouble"] = [trouble.to_json() for trouble in troubles]
        for trouble in troubles:
            click.echo(str(trouble), err=True)
    print_json(document)


for _name, _kind in TYPES.items():
    log.add_command(_command(_name, _kind))
