"""Folding a strip with parallel bend lines on the brake: in which order, which way up, where the backgauge stands.

    strip.py      the part: flat, thickness, folds; its section while it is bent
    section.py    sections of tools, and do two of them share room
    order.py      each fold against punch, die and backgauge; the order by search

Everything is the section across the bend lines; tools are as long as the part. Lengths are metres.
"""

from rackwright.making.folding.order import Folding, FoldStep, Tools, folding
from rackwright.making.folding.strip import Fold, Strip

__all__ = ["Fold", "FoldStep", "Folding", "Strip", "Tools", "folding"]
