"""One value, one sequence of bytes: canonical JSON after RFC 8785, for the values a record may hold.

A record holds text, whole numbers below 2^53 in size, true, false, null, lists and objects; never a
float (a length is whole nanometres, any other number is decimal text with its unit). Without floats
RFC 8785 is: no white space, object keys sorted by their UTF-16 code units, and the shortest escapes.
Reading back is strict: bytes that are not the canonical form of what they say are refused, so that
every altered byte is either unreadable or a different value.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any, NoReturn

__all__ = ["MAX_DEPTH", "MAX_INT", "Malformed", "canonical", "read_canonical"]

MAX_INT = 2**53 - 1  # the largest whole number every JSON reader keeps exactly (RFC 7493)
MAX_DEPTH = 64


class Malformed(ValueError):
    """A value or text that cannot be what it should be. `place` is a JSON Pointer, "" the whole."""

    def __init__(self, place: str, found: str) -> None:
        super().__init__(f"{place or 'the whole'}: {found}")
        self.place, self.found = place, found


def canonical(value: Any) -> bytes:
    """The canonical JSON of a value, in UTF-8. Raises Malformed for what a record may not hold."""
    if _plain(value, 0):
        try:
            return _encode(value).encode()
        except UnicodeEncodeError:
            pass  # half a surrogate pair; the careful way says where
    return _text(value, "", 0).encode()


def read_canonical(data: bytes) -> Any:
    """The value of canonical JSON. Raises Malformed unless `canonical` gives exactly these bytes again."""
    try:
        value = _decode(data.decode())
        again = _encode(value).encode() if _simple(data) else canonical(value)
    except Malformed:
        raise
    except (ValueError, RecursionError) as error:
        raise Malformed("", f"not JSON in UTF-8 ({error})") from None
    if again != data:
        raise Malformed("", "JSON, but not in canonical form")
    return value


def _simple(data: bytes) -> bool:
    """Whatever JSON these bytes are, it is shallow, of small whole numbers and ASCII keys: what `_plain` asks for."""
    return data.isascii() and data.count(b"{") + data.count(b"[") <= MAX_DEPTH and not _LONG.search(data)


_LONG = re.compile(rb"\d{16}")
#: the standard library's own encoder gives the canonical form of a plain value, four times as fast
_encode = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode


def _plain(value: Any, depth: int) -> bool:
    """Only built-in kinds, small whole numbers, and ASCII keys (their code points sort like UTF-16)?"""
    kind = type(value)
    if kind is str or kind is bool or value is None:
        return True
    if kind is int:
        return bool(-MAX_INT <= value <= MAX_INT)
    if depth >= MAX_DEPTH:
        return False
    if kind is dict:
        return all(type(k) is str and k.isascii() and _plain(v, depth + 1) for k, v in value.items())
    return (kind is list or kind is tuple) and all(_plain(item, depth + 1) for item in value)


def _text(value: Any, place: str, depth: int) -> str:
    if depth > MAX_DEPTH:
        raise Malformed(place, f"nested deeper than {MAX_DEPTH} levels")
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        _utf16(value, place)
        return json.dumps(value, ensure_ascii=False)  # escapes exactly what RFC 8785 escapes
    if isinstance(value, int):
        if abs(value) > MAX_INT:
            raise Malformed(place, f"a whole number of {value.bit_length()} bits, larger than 2^53 - 1")
        return int.__repr__(value)
    if isinstance(value, list | tuple):
        items = (_text(item, f"{place}/{i}", depth + 1) for i, item in enumerate(value))
        return f"[{','.join(items)}]"
    if isinstance(value, Mapping):
        for key in value:
            if not isinstance(key, str):
                raise Malformed(place, f"the key {key!r} is not text")
        keys = sorted(value, key=lambda key: _utf16(key, place))
        pairs = (
            f"{json.dumps(key, ensure_ascii=False)}:{_text(value[key], f'{place}/{key}', depth + 1)}"
            for key in keys
        )
        return f"{{{','.join(pairs)}}}"
    raise Malformed(place, f"a {type(value).__name__} ({value!r:.60}) where only text, whole number, "
                           "true, false, null, list or object may stand")  # fmt: skip


def _utf16(text: str, place: str) -> bytes:
    try:
        return text.encode("utf-16-be")
    except UnicodeEncodeError:
        raise Malformed(place, f"the text {text!r:.60} holds half of a surrogate pair") from None


def _refuse(text: str) -> NoReturn:
    raise Malformed("", f"the number {text:.40} is not a whole number")


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise Malformed("", "an object names a key twice")
    return value


#: one decoder for all, made once
_decode = json.JSONDecoder(parse_float=_refuse, parse_constant=_refuse, object_pairs_hook=_no_twins).decode
