"""The invented shop: package data and its list of acts, played through `work`.

May import: work and below.
`shop/` holds the files of the invented shop, `acts.py` what its people do, in order, `play.py` plays it into a
folder. Everything is computed anew each time; only names, dates and measured values are the demo's own.
"""

from rackwright.demo.play import Left, play

__all__ = ["Left", "play"]
