"""`rackwright`: the list of commands, and how an outcome becomes text, JSON and an exit code.

Exit codes: 0 done · 1 the answer is no · 2 the input or the usage is wrong · 3 a fault of ours.
With `--json` stdout is exactly one JSON document, also on failure; messages go to stderr.
Rooms are imported inside the commands, so that `--help` stays quick.
"""

from __future__ import annotations

import errno
import importlib
import json
import logging
import os
import sys
import time
import traceback
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from rackwright.faces import run_log
from rackwright.trouble import Fault, Stopped, Where

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

#: command -> (module, attribute, one line for the list)
COMMANDS: dict[str, tuple[str, str, str]] = {
    "demo": ("rackwright.faces.cli.demo", "demo", "play the whole job on an invented shop"),
    "new": ("rackwright.faces.cli.new", "new", "make a shop's folder, with its key and its record"),
    "check": (
        "rackwright.faces.cli.check",
        "check",
        "is a definition sound; every fault at once, with its line",
    ),
    "prove": ("rackwright.faces.cli.prove", "prove", "mass, margins, modes, reactions, and what changed"),
    "plan": (
        "rackwright.faces.cli.plan",
        "plan",
        "what an order is cut from, what to buy, with a proven bound",
    ),
    "schedule": (
        "rackwright.faces.cli.schedule",
        "schedule",
        "what each station does when, over all open orders; what is late, why",
    ),
    "papers": (
        "rackwright.faces.cli.papers",
        "papers",
        "drawing, piece sheets, saw sheet, labels, dossier with its seal",
    ),
    "log": ("rackwright.faces.cli.log", "log", "list what is recorded, or record one act; gates decide"),
    "freeze": ("rackwright.faces.cli.freeze", "freeze", "freeze a revision: its texts are kept by hash"),
    "due": ("rackwright.faces.cli.due", "due", "what waits for somebody today, late things first"),
    "recall": (
        "rackwright.faces.cli.recall",
        "recall",
        "from what is in doubt to every serial; letters to customers",
    ),
    "trace": (
        "rackwright.faces.cli.trace",
        "trace",
        "where a heat, piece, serial, gauge or order came from and went",
    ),
    "show": (
        "rackwright.faces.cli.standing",
        "show",
        "a rack as designed, built, maintained; what an order still lacks",
    ),
    "again": (
        "rackwright.faces.cli.again",
        "again",
        "a released rack computed by today's program: what changed, and why",
    ),
    "passport": (
        "rackwright.faces.cli.passport",
        "passport",
        "do two racks agree where a part must fit both",
    ),
    "audit": ("rackwright.faces.cli.audit", "audit", "is the record whole, balanced and believed"),
    "verify": ("rackwright.faces.cli.verify", "verify", "offline: is this dossier whole, and who signed it"),
    "serve": (
        "rackwright.faces.cli.serve",
        "serve",
        "pages for the stations, and acts as JSON, until it is stopped",
    ),
    "export": ("rackwright.faces.cli.export", "export", "the whole record as canonical JSON lines"),
    "import": ("rackwright.faces.cli.export", "import_", "a record from an export: same events, same root"),
    "backup": ("rackwright.faces.cli.backup", "backup", "a whole shop in one file, without its key"),
    "restore": ("rackwright.faces.cli.backup", "restore", "a shop's folder from a backup, and its audit"),
    "frame": ("rackwright.faces.cli.frame", "frame", "analyse any 3-D frame given as a frame-case/1 file"),
    "saw": ("rackwright.faces.cli.saw", "saw", "plan any set of bars and pieces, with a proven bound"),
    "calc": ("rackwright.faces.cli.calc", "calc", "any formula with its card: symbols, range, source"),
    "explain": ("rackwright.faces.cli.explain", "explain", "what a trouble code means, and the usual remedy"),
}


class _Rooms(click.Group):
    """A group that imports a command's module only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, attribute, _ = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, n=1)
            if near and args[0] not in COMMANDS:
                raise click.UsageError(f"{error.message} Did you mean {near[0]!r}?", ctx) from None
            raise


@click.group(cls=_Rooms, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="rackwright")
def cli() -> None:
    """From a customer's rack variation to substantiated, cut, traceable pieces and their dossier.

    \b
    Start with:   rackwright demo            the whole job on an invented shop
                  rackwright check FILE      is a definition sound
                  rackwright prove FILE      mass, margins, modes, reactions

    Exit codes: 0 done, 1 the answer is no, 2 input or usage is wrong, 3 a fault of ours.
    RACKWRIGHT_LOG=FILE (- for stderr) logs what was done, one JSON object a line, without what was typed.

    Calculation aid. Not approved data. Use requires approval by the holder of the design approval, a
    designee or the airworthiness authority; drawings, makers' instructions and local codes take precedence.
    """


def main(argv: Sequence[str] | None = None) -> NoReturn:
    args = list(sys.argv[1:] if argv is None else argv)
    run_log.begin()
    started, command = time.monotonic(), args[0] if args and args[0] in COMMANDS else ""
    run_log.did("begun", command=command)
    code = _run(args)
    run_log.did("ended", command=command, exit=code, seconds=round(time.monotonic() - started, 3))
    sys.exit(code)


def _run(args: list[str]) -> int:
    as_json = "--json" in args
    try:
        result = cli.main(args or ["--help"], prog_name="rackwright", standalone_mode=False)
        sys.stdout.flush()  # a full disk below the output is met here, not when nobody listens any more
        return result if isinstance(result, int) else 0
    except Stopped as stopped:
        _show(stopped, as_json)
        return stopped.exit_code
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as error:
        usage = Fault("RW001", Where("command line"), error.format_message(), "see `rackwright --help`")
        _show(Stopped([usage]), as_json)
        return 2
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped by the user; what was printed `recorded` is in the record", err=True)
        return 130
    except SystemExit:  # the command library's answer to a reader who has seen enough (`| head -1`)
        return 0
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as error:
        wrong = _wrong_path(error)
        if wrong is not None:
            _show(wrong, as_json)
            return wrong.exit_code
        _ours(error, as_json)
        return 3


def _wrong_path(error: Exception) -> Stopped | None:
    """A name that no file system takes, met where nobody reads a file yet, or a full disk: the user's, not ours."""
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        if error.filename is None:
            os.dup2(
                os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno()
            )  # what is left of the answer goes nowhere
        where = Where("the output" if error.filename is None else os.fsdecode(error.filename)[:300])
        do = "make room, or write elsewhere; the record holds what was printed `recorded`"
        return Stopped([Fault("RW002", where, str(error.strerror).lower(), do)])
    wrong = (
        errno.ENAMETOOLONG,
        errno.EACCES,
        errno.EPERM,
        errno.ELOOP,
        errno.ENOTDIR,
        errno.EISDIR,
        errno.EROFS,
    )
    if not isinstance(error, OSError) or error.errno not in wrong or error.filename is None:
        return None
    where = Where(os.fsdecode(error.filename)[:300])
    return Stopped([Fault("RW002", where, str(error.strerror).lower(), "give a path that can be used")])


def _show(stopped: Stopped, as_json: bool) -> None:
    """In one line each, in which nothing that turns or hides a text reaches the terminal."""
    from rackwright.faces.cli.show import one_line

    if as_json:
        print_json({"trouble": [trouble.to_json() for trouble in stopped.troubles]})
    for trouble in stopped.troubles:
        click.echo(one_line(str(trouble)), err=True)
        where = trouble.where
        run_log.did("trouble", logging.WARNING, code=trouble.code, file=where.file, line=where.line)


def _ours(error: Exception, as_json: bool) -> None:
    """A fault of ours: one line for the user, the traceback only where it was asked for."""
    steps = [
        f"{step.name} {step.filename}:{step.lineno}" for step in traceback.extract_tb(error.__traceback__)
    ]
    run_log.did("fault of ours", logging.ERROR, kind=type(error).__name__, steps=steps)
    line = f"a fault of ours: {type(error).__name__}: {error}"
    if as_json:
        print_json({"trouble": [{"code": "RW000", "file": "", "line": 0, "field": "", "found": line,
                                 "do": "please report it with the command and its input"}]})  # fmt: skip
    click.echo(
        f"{line}\nSet RACKWRIGHT_TRACE=1 to see where; nothing in the record was changed by it.", err=True
    )
    if os.environ.get("RACKWRIGHT_TRACE"):
        traceback.print_exception(error)


def print_json(document: Any) -> None:
    """The one JSON document of a command on stdout: sorted keys, no NaN, UTF-8."""
    click.echo(json.dumps(document, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False))


if __name__ == "__main__":
    main()
