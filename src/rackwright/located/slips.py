"""What people type that no parser takes: curly quotes, decimal commas, units without quotes; files that are no text.

A parser says only that it expected something else. Here the line is looked at once more, and the slip is named with
what to type instead. A table of patterns, tried in order (from files that people sent; no source).
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["name_of", "not_text", "slip_in"]

CURLY = "“”„‟«»″＂‘’‚‛′´`"
DASHES = "−–—‐‑‒－"
#: a pattern on the line -> what was found, what would do
SLIPS = tuple((re.compile(pattern), found, do) for pattern, found, do in (
    (r"(<{7}|={7}|>{7})( |$)", "a mark of a merge that was not finished", "keep one of the versions, delete the marks"),
    (r"\s*```", "a fence of three back quotes", "delete the lines with the back quotes"),
    (r"\s*<[!?a-zA-Z]", "a web page or XML", "give the file itself, not the page that shows it"),
    (r"\s*\{", "this looks like JSON", "write a line `key = value` for each"),
    (r"[^#]*\\", "a backslash in a text", r"write \\ for one backslash, or put the text in single quotes: 'C:\new'"),
    (r"\s*\[", "the brackets of this heading do not match", "write [name] over a table, [[name]] over a row of a list"),
    (r"\s*[\w.\"-]+\s*:", "a colon behind the key", "write `key = value`"),
    (r"[^=]*=\s*(#|$)", "no value behind the key", "give it, or take the line out"),
    (r"[^=]*=\s*(?i:true|false)\b", "a yes or no with a capital letter", "write true or false in small letters"),
    (r"[^=]*=\s*(?i:none|null|nil|n/a|-|\?)\s*(#|$)", "a word for no value", "take the line out"),
    (r"[^=]*=\s*[+-]?\d+,\d+\s*(#|$)", "a decimal comma", "write a decimal point, as in 0.15"),
    (r"[^=]*=\s*[+-]?\.\d", "a number that begins with its point", "write a 0 before it, as in 0.15"),
    (r"[^=]*=\s*[+-]?0\d+(\.\d*)?\s*(#|$)", "a number with a 0 before it", "write it without that 0"),
    (r"[^=]*=\s*[+-]?\d+\.\s*(#|$)", "a number that ends with its point", "write it without the point, or with .0"),
    (r"[^=]*=.*;\s*$", "a semicolon at the end", "delete it"),
    (r"[^=]*=\s*[+-]?\d[\d./ ]*(e[+-]?\d+)?\s*[A-Za-z%°'\"*/]", "a quantity without quotes",
     'put number and unit in quotes, as in "17 1/2 in"'),
    (r"[^=]*=\s*[A-Za-z]", "a text without quotes", "put it in straight double quotes"),
    (r"[^=]*$", "a line without =", "write `key = value`, or begin it with # if it is a remark"),
))  # fmt: skip
_FILES = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"%PDF": "a PDF", b"PK\x03\x04": "a zip or office file",
          b"\x89PNG": "a picture", b"\xff\xd8\xff": "a picture", b"\x1f\x8b": "a compressed file",
          b"SQLite format 3": "a database"}  # fmt: skip


def slip_in(text: str, line: int, column: int, json: bool = False) -> tuple[str, str]:
    """The slip at a place (from 1) that a parser refused: what was found, what would do; "" where unknown."""
    lines = text.split("\n")
    words = lines[line - 1] if line <= len(lines) else ""
    here = words[column - 1 : column]
    odd = here if here and not here.isascii() else ""
    if not odd and _open(words):
        odd = next((c for c in words[::-1] if c in CURLY and c not in "`"), "")
        if not odd and not json:
            return "a text that is not closed", 'close it with a straight quote " on this line'
    if odd in CURLY and odd:
        return f"the curly quote {name_of(odd)}", 'type the straight quote " at both ends of the text'
    if odd in DASHES and odd:
        return f"the dash {name_of(odd)}", "type the hyphen -, which stands for minus"
    if odd and unicodedata.category(odd) in ("Zs", "Cf"):
        return (
            f"the invisible character {name_of(odd)}",
            "delete it; type an ordinary space where one belongs",
        )
    if odd:
        return (
            f"the letter {name_of(odd)}",
            "type it on a Latin keyboard, or put the text in straight double quotes",
        )
    if json:
        return _in_json(words[: column - 1], words[column - 1 :], "\n".join(lines[line:]))
    for pattern, found, do in SLIPS:
        if pattern.match(words):
            return found, do
    return "", ""


def _in_json(before: str, rest: str, below: str) -> tuple[str, str]:
    if not (rest + below).strip():
        return "the file ends here, before it is complete", "get the whole file"
    if rest[:1] == "'" or rest[:1] in CURLY:
        return "a text in other quotes", 'type the straight double quote "'
    if rest[:1] == '"' and _open(before + rest):
        return "a text that is not closed", 'close it with a straight quote " on this line'
    if rest[:1] in ("#", "/"):
        return "a remark, which JSON has not", "take it out"
    if re.search(r"[:\[]\s*-?\d+,$", before) and rest[:1].isdigit() and "[" not in before:
        return "a decimal comma", "write a decimal point, as in 0.15"
    if rest[:1] in ("]", "}"):
        lone = before.rstrip().endswith(",")
        return (
            ("a comma with nothing behind it", "delete it")
            if lone
            else ("this bracket closes another", "mend them")
        )
    word = re.match(r"(?i)(true|false|none|null|nan|inf)\w*", rest)
    if word:
        return f"the word {word[0]}", "write true, false or null in small letters, or a number"
    if re.match(r"[+.]?\d", rest) and before.rstrip()[-1:] in (":", ",", "[", "0"):
        return (
            "a number that JSON does not write so",
            "write it as 0.15: a digit on both sides of the point, no 0 before",
        )
    return "", ""


def _open(line: str) -> bool:
    """Does a straight double quote stand open at the end of the line?"""
    return len(re.findall(r'"', re.sub(r"\\.|'[^'\"]*'|#[^\"]*$", "", line))) % 2 == 1


def name_of(letter: str) -> str:
    """A character and what it is called: `“ (U+201C left double quotation mark)`; one that does not print by name."""
    name = unicodedata.name(letter, "without a name").lower()
    return f"{letter} (U+{ord(letter):04X} {name})" if letter.isprintable() else f"U+{ord(letter):04X} {name}"


def not_text(raw: bytes, at: int) -> tuple[str, str]:
    """What bytes are that are no UTF-8 text, the first of them at `at`; and what would do."""
    place, do = f"byte {at} (0x{raw[at]:02x}) is not UTF-8 text", "save it as UTF-8 text"
    kind = next((kind for start, kind in _FILES.items() if raw.startswith(start)), "")
    if not kind and raw[at] == 0:
        zeros = raw[:400].count(0) * 3 >= min(len(raw), 400)
        if zeros and any(raw[:400]):
            kind = "UTF-16 or a binary file"
        elif zeros:
            kind, do = "a file of zeros, as a crash leaves behind", "take it from a backup"
        else:
            kind, do = "a NUL character in a text", "delete it"
    if kind:
        return f"{place}: this is {kind}", do if "UTF" in kind or raw[at] == 0 else "give a text file"
    letter = raw[at : at + 1].decode("cp1252", "ignore")
    return f"{place}{f', perhaps {letter} of Windows-1252' if letter and letter.isprintable() else ''}", do
