"""The invented shop: package data and its list of acts, played through `work`.

`shop/` holds the files of the invented shop, `job.py` its people and gauges, `acts.py` what they do up to the
saw, `stations.py` what follows, `service.py` what comes after the release, `play.py` plays it into a folder.
Everything is computed anew each time; only names, dates and measured values are the demo's own.

May import: work and below.
"""

from rackwright.demo.job import SECRETS
from rackwright.demo.play import Left, play

__all__ = ["SECRETS", "Left", "play"]
