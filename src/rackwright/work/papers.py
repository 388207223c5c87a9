"""The papers of a job, as verbs: drawing, piece sheets, saw sheet, labels, dossier; and writing one to a folder.

Each takes what it shows and gives bytes: equal inputs give equal bytes. `paper_*.py` holds one paper each.
"""

from __future__ import annotations

import os
from pathlib import Path
from secrets import token_hex

from rackwright.record.attachments import sync_folder
from rackwright.trouble import Fault, Stopped, Where
from rackwright.work.paper_dossier import dossier
from rackwright.work.paper_drawing import draw, sketches
from rackwright.work.paper_labels import labels
from rackwright.work.paper_saw import saw_sheet

__all__ = ["dossier", "draw", "labels", "saw_sheet", "sketches", "write"]


def write(path: str | Path, data: bytes) -> Path:
    """Write a paper whole or not at all: beside it, to the disk, then under its name. Makes the folder.

    Raises Stopped (RW701) where it cannot be written; what stood there before is then still there.
    """
    path = Path(path)
    beside = path.with_name(f".{path.name}.{token_hex(4)}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(beside, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
        sync_folder(path.parent)
    except OSError as error:
        beside.unlink(missing_ok=True)
        what = (error.strerror or str(error)).lower()
        raise Stopped(
            [Fault("RW701", Where(str(path)), f"cannot be written: {what}", "check the folder")]
        ) from error
    return path
