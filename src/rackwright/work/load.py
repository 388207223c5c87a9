"""From paths to definitions, shop and stock: the files a person names, and those they lean on.

A variation names its base. The base is looked for by the stem of its file, whatever the case, in turn: the
shop's `standards/`, the folder of the file itself, and `standards/` beside that folder. A base may itself be a
variation. The shop folder is the one given, else the nearest parent of the file with a `shop.toml`, else the one
that the environment names.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from rackwright.located import MAX_BYTES
from rackwright.rack import Rack, Source, base_of, read_rack
from rackwright.reference import Rows, Texts, read_own
from rackwright.shop import Shop, StockBar, StockItem, read_shop
from rackwright.shop.read_stock import read_stock_items
from rackwright.trouble import Fault, Stopped, Where
from rackwright.work.engineering.frozen_texts import BASE, DEFINITION, REFERENCE

__all__ = [
    "ENVIRONMENT",
    "find_shop",
    "gather",
    "load_rack",
    "load_rows",
    "load_shop",
    "load_stock",
    "load_stock_items",
    "read_file",
    "texts_of",
]

ENVIRONMENT = "RACKWRIGHT_SHOP"
SHOP_FILE = "shop.toml"
STANDARDS = "standards"


def load_rack(path: str | Path, shop: str | Path | None = None) -> Rack:
    """The rack that a standard or variation file defines. `shop` is the shop's folder, if one was named.

    Raises Stopped with every fault in the file or its bases, or with what keeps one of them from being read.
    """
    source, bases = gather(path, shop)
    rack, faults = read_rack(source, bases, load_rows(find_shop(path, shop)))
    if rack is None:
        raise Stopped(faults)
    return rack


def gather(path: str | Path, shop: str | Path | None = None) -> tuple[Source, dict[str, Source]]:
    """The file's text with those of all bases it leans on, by lower-case name: what a freeze keeps.

    A base that is not found is left out; the reader says so at its line. Raises Stopped as `load_rack`.
    """
    source = read_file(path)
    folders = list(_folders(Path(path), find_shop(path, shop)))
    bases: dict[str, Source] = {}
    wanted = base_of(source)
    while wanted is not None and wanted.lower() not in bases:
        found = _find(wanted.lower(), folders)
        if found is None:
            break
        bases[wanted.lower()] = read_file(found)
        wanted = base_of(bases[wanted.lower()])
    return source, bases


def texts_of(path: str | Path, shop: str | Path | None = None) -> dict[str, bytes]:
    """Every text that a definition's numbers hang on, by the name under which a freeze keeps it.

    Raises Stopped as `gather`.
    """
    source, bases = gather(path, shop)
    own = _reference(find_shop(path, shop))
    return {
        DEFINITION: source.data,
        **{BASE + name: base.data for name, base in bases.items()},
        **{REFERENCE + name: data for name, (_, data) in own.items()},
    }


def load_rows(folder: str | Path | None) -> Rows:
    """The shipped reference rows with those of a shop's `reference/` over them. Raises Stopped with their faults."""
    rows, faults = read_own(_reference(folder))
    if rows is None:
        raise Stopped(faults)
    return rows


def _reference(folder: str | Path | None) -> Texts:
    place = Path(folder) / "reference" if folder is not None else None
    if place is None or not place.is_dir():
        return {}
    files = sorted(one for one in place.iterdir() if one.suffix.lower() == ".toml")
    return {one.name: (source.file, source.data) for one in files for source in (read_file(one),)}


def find_shop(path: str | Path, explicit: str | Path | None = None) -> Path | None:
    """The shop folder for a file: the one given, else the nearest parent with shop.toml, else the environment's."""
    if explicit is not None:
        return Path(explicit)
    here = Path(path).absolute()
    for folder in (here, *here.parents):
        if (folder / SHOP_FILE).is_file():
            return _shown(folder)
    named = os.environ.get(ENVIRONMENT)
    return Path(named) if named else None


def load_shop(folder: str | Path | None) -> Shop:
    """The shop of a folder. Raises Stopped: no folder, no readable shop.toml, or its faults."""
    if folder is None:
        do = f"give --shop DIR, work below a folder with {SHOP_FILE}, or set {ENVIRONMENT}"
        raise Stopped([Fault("RW002", Where(SHOP_FILE), "no shop folder was found", do)])
    source = read_file(Path(folder) / SHOP_FILE)
    shop, faults = read_shop(source.data, source.file, load_rows(folder))
    if shop is None:
        raise Stopped(faults)
    return shop


def load_stock(path: str | Path) -> tuple[StockBar, ...]:
    """The bars of a stock file. Raises Stopped with its faults."""
    return load_stock_items(path)[0]


def load_stock_items(path: str | Path) -> tuple[tuple[StockBar, ...], tuple[StockItem, ...]]:
    """The bars and the counted items of a stock file. Raises Stopped with its faults."""
    source = read_file(path)
    stock, faults = read_stock_items(source.data, source.file)
    if stock is None:
        raise Stopped(faults)
    return stock


def read_file(path: str | Path) -> Source:
    """A file's bytes under the name the user gave. Raises Stopped: RW002 missing, a folder or not readable,
    RW005 larger than what is read."""
    name = str(path)
    try:
        with open(path, "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL character in the path
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise Stopped([Fault("RW002", Where(name), what.lower(), "give a file that can be read")]) from None
    if len(data) > MAX_BYTES:
        found, do = f"more than {MAX_BYTES} bytes", f"at most {MAX_BYTES} are read"
        raise Stopped([Fault("RW005", Where(name), found, do)])
    return Source(name, data)


def _folders(path: Path, shop: Path | None) -> Iterator[Path]:
    """Where bases are looked for, in turn."""
    if shop is not None:
        yield shop / STANDARDS
    yield path.parent
    yield _shown(path.absolute().parent.parent) / STANDARDS


def _find(stem: str, folders: list[Path]) -> Path | None:
    for folder in folders:
        try:
            entries = sorted(folder.iterdir())
        except OSError:  # no such folder, or not ours to read
            continue
        for entry in entries:
            if entry.suffix.lower() == ".toml" and entry.stem.lower() == stem and entry.is_file():
                return entry
    return None


def _shown(path: Path) -> Path:
    """Relative to the working folder where it lies below: shorter in messages, and alike on every machine."""
    try:
        return path.relative_to(Path.cwd())
    except ValueError:
        return path
