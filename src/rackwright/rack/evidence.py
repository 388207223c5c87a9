"""A static test as evidence of strength, equal to analysis, as frozen data.

What makes a test count (common practice of substantiation; the load rules in 14 CFR 25.305 and 25.307): the
article is named and found to conform before it is loaded, the load and its instrument are traceable, the result
and its report are signed by a person, and the metal of the article is set against the least that the
specification allows. What is not stated makes the test prove nothing; computing goes on.
"""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Force, Moment, Name, Number, Text
from rackwright.fields import definition as _definition

__all__ = ["Evidence"]


@_definition
class Evidence:
    """One test. `covers` are margin ids, `*` standing for any letters.

    `force` or `moment` is the greatest load held, or the load of failure; `metal_ratio` the least strength of
    the specification over that of the article's metal (1 or less). `limit` says whether limit load, 1/1.5 of it, was
    held before. With it, a test that simulates the actual stress conditions (`simulates` says how) lets the fitting
    factor fall away: 14 CFR 25.625(a), 29.625(a). `accepted_by` names who in engineering lets it govern over a
    lower margin by analysis.
    """

    name: Name
    covers: tuple[Text, ...]
    article: Name
    article_revision: Name
    direction: Text
    result: Literal["held", "failed"]
    by: Text
    report: Text | None = None
    conformity: Text | None = None
    force: Force | None = None
    moment: Moment | None = None
    gauge: Text | None = None
    calibration: Text | None = None
    metal_ratio: Number | None = None
    limit: Literal["held", "permanent set"] | None = None
    simulates: Text | None = None
    accepted_by: Text | None = None
