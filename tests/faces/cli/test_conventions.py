"""What every command does alike: help, exit codes, and one JSON document with `--json`."""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from rackwright.faces.cli import main as face
from rackwright.faces.cli.main import COMMANDS, main
from rackwright.trouble import CODES, DEFERENCE, Fault, Refusal, Stopped, Where

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs the command line; gives exit code, stdout, stderr."""

    def run(*args: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main(args)
        out, err = capsys.readouterr()
        return int(left.value.code or 0), out, err

    return run


def commands() -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command and every command below it, with the words that call it."""

    def below(
        words: tuple[str, ...], command: click.Command
    ) -> Iterator[tuple[tuple[str, ...], click.Command]]:
        yield words, command
        if isinstance(command, click.Group):
            context = click.Context(command)
            for name in command.list_commands(context):
                inner = command.get_command(context, name)
                assert inner is not None
                yield from below((*words, name), inner)

    for name, (module, attribute, _) in COMMANDS.items():
        yield from below((name,), getattr(importlib.import_module(module), attribute))


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_every_command_has_help(run: Run, name: str, flag: str) -> None:
    code, out, err = run(name, flag)
    assert (code, err) == (0, "")
    assert out.startswith(f"Usage: rackwright {name}")


def test_every_command_says_what_it_does_and_what_its_options_mean() -> None:
    for words, command in commands():
        assert command.help, words
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                assert parameter.help, (words, parameter.name)


def test_every_command_that_answers_can_answer_in_json() -> None:
    for words, command in commands():
        if not isinstance(command, click.Group) and words[0] != "serve":
            flags = {flag for parameter in command.params for flag in parameter.opts}
            assert "--json" in flags, words


def test_the_list_of_commands_holds_every_command(run: Run) -> None:
    code, out, _ = run("--help")
    assert code == 0
    for name, (_, _, line) in COMMANDS.items():
        assert f"  {name} " in out
        assert 10 < len(line) <= 70, "one short line"
    assert " ".join(DEFERENCE.split()) in " ".join(out.split())


def test_nothing_asked_is_answered_with_help(run: Run) -> None:
    assert run() == run("--help")


def test_the_version(run: Run) -> None:
    code, out, _ = run("--version")
    assert code == 0
    assert out.startswith("rackwright")


@pytest.mark.parametrize("typed", ["explian", "expl", "explains"])
def test_an_unknown_command_suggests_the_nearest(run: Run, typed: str) -> None:
    code, out, err = run(typed)
    assert (code, out) == (2, "")
    assert "Did you mean 'explain'?" in err
    assert "[RW001]" in err


@pytest.mark.parametrize(
    "args",
    [["explian"], ["--nonsense"], ["explain", "--nonsense"], ["explain", "RW999"], ["qqqq", "--help"], []],
    ids=" ".join,
)
def test_wrong_usage_with_json_is_one_document(run: Run, args: list[str]) -> None:
    code, out, err = run(*args, "--json")
    assert code == 2
    (trouble,) = json.loads(out)["trouble"]
    assert set(trouble) == {"code", "file", "line", "field", "found", "do"}
    assert trouble["code"] == "RW001"
    assert trouble["found"] in err


# --- how an outcome becomes an exit code, shown on a command made for it -------------------------

FAULT = Fault("RW104", Where("rack.toml", 41, "shelf.upper.height"), "'17' has no unit", "use in")
REFUSAL = Refusal("RW303", Where("rack.toml"), "margin -0.1", "a thicker wall")


@pytest.fixture
def act(monkeypatch: pytest.MonkeyPatch, run: Run) -> Callable[..., tuple[int, str, str]]:
    """Runs a command that does what it is told."""

    def act(deed: Callable[[], object], *args: str) -> tuple[int, str, str]:
        command = click.Command("explain", callback=lambda as_json: deed(), params=[
            click.Option(["--json", "as_json"], is_flag=True)])  # fmt: skip
        monkeypatch.setattr("rackwright.faces.cli.explain.explain", command)
        return run("explain", *args)

    return act


def throw(error: BaseException) -> Callable[[], object]:
    def deed() -> object:
        raise error

    return deed


@pytest.mark.parametrize(
    ("deed", "code"),
    [
        (lambda: None, 0),
        (lambda: 1, 1),
        (throw(Stopped([REFUSAL])), 1),
        (throw(Stopped([FAULT])), 2),
        (throw(Stopped([REFUSAL, FAULT])), 2),
        (throw(ZeroDivisionError("a/b")), 3),
        (throw(KeyboardInterrupt()), 130),
    ],
)
def test_exit_codes(act: Callable[..., tuple[int, str, str]], deed: Callable[[], object], code: int) -> None:
    assert act(deed)[0] == code


def test_troubles_are_told_all_at_once_with_their_places(act: Callable[..., tuple[int, str, str]]) -> None:
    code, out, err = act(throw(Stopped([FAULT, REFUSAL])), "--json")
    assert code == 2
    assert [t["code"] for t in json.loads(out)["trouble"]] == ["RW104", "RW303"]
    assert "rack.toml:41 shelf.upper.height: '17' has no unit; use in [RW104]\n" in err
    assert "rack.toml: margin -0.1; a thicker wall [RW303]\n" in err


def test_a_fault_of_ours_shows_no_traceback_unless_asked(
    act: Callable[..., tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("RACKWRIGHT_TRACE", raising=False)
    code, out, err = act(throw(ZeroDivisionError("a/b")), "--json")
    assert (code, json.loads(out)["trouble"][0]["code"]) == (3, "RW000")
    assert "a fault of ours: ZeroDivisionError: a/b" in err
    assert "Traceback" not in out + err
    monkeypatch.setenv("RACKWRIGHT_TRACE", "1")
    assert "Traceback" in act(throw(ZeroDivisionError("a/b")))[2]


def test_the_printed_document_is_strict_json(capsys: pytest.CaptureFixture[str]) -> None:
    face.print_json({"b": "é", "a": 1})
    assert capsys.readouterr().out == '{\n "a": 1,\n "b": "é"\n}\n'
    with pytest.raises(ValueError, match="JSON"):
        face.print_json({"a": float("nan")})


# --- explain -------------------------------------------------------------------------------------


def test_explain_one_code(run: Run) -> None:
    code, out, _ = run("explain", "rw104")
    assert code == 0
    assert out == f"RW104  {CODES['RW104'].meaning}\n       {CODES['RW104'].remedy}\n"


def test_explain_all_codes_in_json(run: Run) -> None:
    code, out, _ = run("explain", "--json")
    told = json.loads(out)["codes"]
    assert code == 0
    assert [row["code"] for row in told] == list(CODES)
    assert all(row["meaning"] and row["remedy"] and row["family"] for row in told)


def test_explain_an_unknown_code(run: Run) -> None:
    code, out, err = run("explain", "RW104", "RW1044", "nonsense")
    assert (code, out) == (2, "")
    assert "'RW1044' is not a trouble code; did you mean RW104?" in err
    assert "'NONSENSE' is not a trouble code; `rackwright explain` lists all codes" in err


def test_help_is_quick_because_no_room_is_imported() -> None:
    program = (
        "import sys; import rackwright.faces.cli.main, rackwright.faces.cli.explain; "
        "print(sorted({'numpy', 'scipy', 'pydantic', 'pint', 'sqlalchemy', 'typst'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="no device that is always full")
def test_a_full_disk_below_the_output_is_told_and_is_no_fault_of_ours() -> None:
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "rackwright.faces.cli.main", "explain", "RW510"]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2, done.stderr
    assert done.stderr.startswith("the output: no space left on device; make room")
    assert "Traceback" not in done.stderr
