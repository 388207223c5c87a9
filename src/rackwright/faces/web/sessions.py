"""Who sits at which browser: a token of chance, known here by its hash, dead after logout and after its time.

What must hold is that of the OWASP Application Security Verification Standard 5.0, chapters 7.2 to 7.4 (from memory):
128 bits or more, new at each login, ended at the server, limits written down. Sessions live in this process alone; one
that was started anew knows none.
"""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256

from rackwright.record import Stock

__all__ = ["ABSOLUTE", "IDLE", "VISIT", "Session", "Sessions"]

# Common practice, no source: a shift with its breaks.
IDLE = 2 * 3600.0  # s without a request, then one signs in again
ABSOLUTE = 12 * 3600.0  # s after login, whatever was done
VISIT = 3600.0  # s for which the signature at the beginning of a bar's visit stands for its taps
TOKEN_BYTES = 32

Bar = tuple[str, str, tuple[str, ...]]  # stock id, order, pieces: the visit of a bar as it was signed out


@dataclass
class Session:
    """One login. `verifier` and the visits' are hashes of what the person was known by: a new one ends them."""

    person: str
    verifier: str
    began: float
    used: float
    visits: dict[Bar, tuple[str, float]] = field(default_factory=dict)


@dataclass
class Sessions:
    """All of this process. Not for several threads at once."""

    clock: Callable[[], float] = time.monotonic
    _held: dict[str, Session] = field(default_factory=dict)

    def begin(self, person: str, verifier: str) -> str:
        """A new session's token."""
        now = self.clock()
        self._held = {key: one for key, one in self._held.items() if self._lives(one)}
        token = secrets.token_urlsafe(TOKEN_BYTES)
        self._held[_key(token)] = Session(person, verifier, now, now)
        return token

    def of(self, token: str) -> Session | None:
        """The session of this token, if it lives; asking is using it."""
        one = self._held.get(_key(token))
        if one is None or not self._lives(one):
            self.end(token)
            return None
        one.used = self.clock()
        return one

    def end(self, token: str) -> None:
        self._held.pop(_key(token), None)

    def begin_visit(self, session: Session, bar: Stock, verifier: str) -> None:
        """The person signed for the taps of this bar's visit."""
        session.visits[_bar(bar)] = (verifier, self.clock())

    def visit(self, session: Session, bar: Stock) -> str:
        """What the person was known by when this bar's visit began, "" where it did not or long ago."""
        verifier, began = session.visits.get(_bar(bar), ("", 0.0))
        return verifier if verifier and self.clock() - began < VISIT else ""

    def _lives(self, one: Session) -> bool:
        now = self.clock()
        return now - one.used < IDLE and now - one.began < ABSOLUTE


def _key(token: str) -> str:
    return sha256(token.encode("utf-8", "replace")).hexdigest()


def _bar(bar: Stock) -> Bar:
    return bar.stock_id, bar.job, bar.planned
