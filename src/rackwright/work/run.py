"""The stopwatch: searches run in child processes, the last answer counts, the deadline is kept.

A search is a generator of ever better answers that knows no clock. Each runs in a process of its own, so
that a solver deep in a long step can still be stopped in time: at the deadline the child is killed and
what it sent last is the answer. Parts that need no stopwatch are shared out over the cores by `shared`.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from typing import Any, Generic, TypeVar

from rackwright.strength.in_turn import in_turn

__all__ = ["Outcome", "run_until", "shared"]

T = TypeVar("T")
A_WEEK = 7 * 24 * 3600.0  # s: parts that are shared out have no deadline of their own


@dataclass
class Outcome(Generic[T]):
    """The last answer of a search (None: none came in time), and whether it came to its own end."""

    last: T | None = None
    ended: bool = False
    error: str = ""


def run_until(
    deadline: float,
    searches: Sequence[tuple[Callable[..., Iterator[T]], tuple[Any, ...]]],
    hear: Callable[[int, T], bool | None] | None = None,
) -> list[Outcome[T]]:
    """Runs all searches at once until each has ended or `time.monotonic()` reaches the deadline.

    A search is a function at the top level of a module and its arguments; it returns the generator.
    `hear(search, answer)` is called for every answer that arrives; when it returns True all stop.
    """
    context = _context()
    outcomes: list[Outcome[T]] = [Outcome() for _ in searches]
    children: dict[Connection, tuple[int, Any]] = {}
    try:
        for number, (search, arguments) in enumerate(searches):
            ours, theirs = context.Pipe(duplex=False)
            child = context.Process(target=_child, args=(theirs, search, arguments, os.getpid()), daemon=True)
            child.start()
            theirs.close()
            children[ours] = (number, child)
        while children:
            left = deadline - time.monotonic()
            ready = wait(list(children), timeout=max(0.0, left)) if left > 0 else []
            if not ready:
                break
            for connection in ready:
                assert isinstance(connection, Connection)
                if _listen(connection, outcomes, children, hear):
                    return outcomes
    finally:
        for connection, (_, child) in children.items():
            child.kill()
            connection.close()
        for _, child in children.values():
            child.join(1.0)
    return outcomes


def shared(work: Callable[[int], T], count: int) -> list[T]:
    """An `Each` over all cores: every process takes the next part that is left. Answers must pickle.

    One after another on one core, within such a process, and where forking is not safe. Raises RuntimeError with what
    a part ended in.
    """
    context, found = _context(), dict[int, T]()
    alone = context.get_start_method() != "fork" or multiprocessing.current_process().daemon
    many = 1 if alone else min(count, len(os.sched_getaffinity(0)))
    if many < 2:
        return in_turn(work, count)
    turn = context.Value("q", 0)

    def hear(_: int, answer: tuple[int, T]) -> None:
        found[answer[0]] = answer[1]

    outcomes = run_until(time.monotonic() + A_WEEK, [(_taking, (work, count, turn))] * many, hear)
    for outcome in outcomes:
        if outcome.error:
            raise RuntimeError(outcome.error)
    return [found[n] for n in range(count)]


def _taking(work: Callable[[int], T], count: int, turn: Any) -> Iterator[tuple[int, T]]:
    while True:
        with turn.get_lock():
            n, turn.value = turn.value, turn.value + 1
        if n >= count:
            return
        yield n, work(n)


def _listen(
    connection: Connection,
    outcomes: list[Outcome[T]],
    children: dict[Connection, tuple[int, Any]],
    hear: Callable[[int, T], bool | None] | None,
) -> bool:
    number, child = children[connection]
    outcome = outcomes[number]
    try:
        kind, value = connection.recv()
    except (EOFError, OSError):  # it died without a word
        kind, value = "error", "the search process ended unexpectedly"
    if kind == "answer":
        outcome.last = value
        return bool(hear and hear(number, value))
    outcome.ended = kind == "end"
    outcome.error = value if kind == "error" else ""
    del children[connection]
    connection.close()
    child.join(5.0)
    return False


def _child(
    connection: Connection,
    search: Callable[..., Iterator[Any]],
    arguments: tuple[Any, ...],
    parent: int,
) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
    threading.Thread(target=_leave_with, args=(parent,), daemon=True).start()
    try:
        for answer in search(*arguments):
            connection.send(("answer", answer))
        connection.send(("end", None))
    except BrokenPipeError:
        pass
    except Exception as error:
        connection.send(("error", f"{type(error).__name__}: {error}"))
    finally:
        connection.close()
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115  (nothing of the child may reach the one document)
    os._exit(0)


def _leave_with(parent: int) -> None:
    """A child whose parent is gone must not go on."""
    while os.getppid() == parent:
        time.sleep(0.5)
    os._exit(1)


def _context() -> Any:
    """Forking is quick but safe only from a process with one thread."""
    forks = sys.platform == "linux" and threading.active_count() == 1
    return multiprocessing.get_context("fork" if forks else "spawn")
