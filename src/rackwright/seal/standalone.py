"""Verification as one small file, for whoever receives a dossier: `verify.pyz`.

The file is a zip application of Python's own kind: this room, `trouble.py` and nothing else. It needs
Python and the cryptography package:

    python3 verify.pyz SN-0031.pdf [--key KEY_ID|shop.pub] [--against OTHER.seal]

It reads the seal beside the PDF, and `keys.json` where that stands there too, prints one line a check and
ends with 0 (good), 1 (no) or 2 (not a dossier, or used wrongly). The same sources give the same bytes.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import resources
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from rackwright.seal.dossier import Check, compare, read_seal, verify
from rackwright.seal.handover import trust_beside
from rackwright.seal.keys import trusted
from rackwright.trouble import DEFERENCE, Fault, Stopped, Where

__all__ = ["main", "one_file"]

_USAGE = "python3 verify.pyz SERIAL.pdf [--key KEY_ID|shop.pub] [--against OTHER.seal]"


def one_file() -> bytes:
    """The bytes of `verify.pyz`."""
    package = resources.files("rackwright")
    texts = {
        "__main__.py": "import sys\nfrom rackwright.seal.standalone import main\nsys.exit(main(sys.argv[1:]))\n",
        "rackwright/__init__.py": "",
        "rackwright/trouble.py": package.joinpath("trouble.py").read_text("utf-8"),
    }
    for item in package.joinpath("seal").iterdir():
        if item.name.endswith(".py"):
            texts[f"rackwright/seal/{item.name}"] = item.read_text("utf-8")
    out = BytesIO(b"")
    out.write(b"#!/usr/bin/env python3\n")
    with ZipFile(out, "a", ZIP_STORED) as archive:
        for name in sorted(texts):
            archive.writestr(ZipInfo(name, (1980, 1, 1, 0, 0, 0)), texts[name])
    return out.getvalue()


def main(args: Sequence[str]) -> int:
    """Verify as the command line says; what was found goes to stdout, what is wrong with the input to stderr."""
    try:
        checks = _checks(*_arguments(list(args)))
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return stopped.exit_code
    for check in checks:
        print(f"{'ok' if check.ok else 'NO':3}{check.name}: {check.words}")
    good = all(check.ok for check in checks)
    print(f"\nThe dossier is {'as it was sealed' if good else 'NOT as it was sealed'}.\n{DEFERENCE}")
    return 0 if good else 1


def _arguments(args: list[str]) -> tuple[Path, str | None, Path | None]:
    options: dict[str, str] = {}
    while len(args) >= 3 and args[-2] in ("--key", "--against"):
        value, name = args.pop(), args.pop()
        options[name] = value
    if len(args) != 1 or args[0].startswith("-"):
        raise Stopped([Fault("RW001", Where("command line"), f"not understood: {' '.join(args)}", _USAGE)])
    against = options.get("--against")
    return Path(args[0]), options.get("--key"), Path(against) if against else None


def _checks(pdf: Path, key: str | None, against: Path | None) -> list[Check]:
    beside = pdf.with_suffix(".seal")
    seal, known = _bytes(beside), None if key is None else trusted(key, _bytes)
    checks = verify(_bytes(pdf), seal, known, str(beside), trust_beside(pdf, _bytes))
    if against is None:
        return checks
    (mine, faults), (other, more) = read_seal(seal, str(beside)), read_seal(_bytes(against), str(against))
    if mine is None or other is None:
        raise Stopped([*faults, *more])
    return checks + compare(mine, other)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise Stopped(
            [Fault("RW002", Where(str(path)), f"cannot be read: {error.strerror}", _USAGE)]
        ) from error
