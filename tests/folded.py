"""Histories of a few events, written down beside the test that folds them."""

from __future__ import annotations

from typing import Any

from histories import act
from rackwright.record import State, project

ADA = "Ada Quill"
Said = tuple[str, dict[str, Any]]


def at(seq: int) -> str:
    return f"2031-05-04T00:{seq:02}:00Z"


def came_to(*said: Said, **more: Any) -> State:
    """The state of a history in which event 1 says the first, and so on; `more` is of the last."""
    last = len(said)
    return project([
        act(seq, type, body, **(more if seq == last else {})).at_seq(seq) for seq, (type, body) in enumerate(said, 1)
    ])  # fmt: skip


BAR: Said = ("receive", {"stock_id": "T-1", "form": "bar", "stock_spec": "6061-T6", "heat": "H-1", "length_nm": 100,
                         "section": "SQ", "length_uncertainty_nm": 3, "place": "rack 2"})  # fmt: skip
LOT: Said = ("receive", {"stock_id": "F-1", "form": "rivets", "stock_spec": "S", "lot": "L-1", "quantity": 5})
PLATE: Said = ("receive", {"stock_id": "P-1", "form": "plate", "stock_spec": "S", "heat": "H-2",
                           "outline": [[10, 10], [14, 10], [14, 15], [10, 15]]})  # fmt: skip
ORDER: Said = ("order", {"order": "PO-1", "customer": "x", "variation": "v", "quantity": 2})
RACK: Said = ("serial", {"serial": "SN-1", "order": "PO-1", "revision": "A"})


def cut(**more: Any) -> Said:
    return "cut", {"stock_id": "T-1", "job": "PO-1", "pieces": [{"piece": "p", "length_nm": 60, "serial": "SN-1"}],
                   "kerf_nm": 2, "trim_nm": 3, "scrap_nm": 35, **more}  # fmt: skip


def profile_cut(**more: Any) -> Said:
    return "profile_cut", {"stock_id": "P-1", "job": "PO-1", "pieces": [{"piece": "q", "area_nm2": "3"}],
                           "kerf_nm2": "1", "skeleton_nm2": "4", "remnants": [
                               {"stock_id": "P-1-R", "outline": [[1, 1], [5, 1], [5, 4], [1, 4]], "label": "L-9"}],
                           **more}  # fmt: skip
