"""The first-article set: its forms by the field list that was chosen, a list for each revision of the standard."""

from __future__ import annotations

import pytest

import small_shop as small
from papers.reading import flat, pages
from rackwright.reference import shipped
from rackwright.work.papers.first_article import first_article_set
from rackwright.work.quality.nonconforming import raise_nonconformance
from rackwright.work.stations.first_articles import first_article
from stories.conftest import Begin

PAIRS = {"B": (24, 13, 14), "C": (26, 13, 12)}  # fields of forms 1, 2 and 3


@pytest.mark.parametrize("name", PAIRS)
def test_every_field_of_a_list_has_its_number_once(name: str) -> None:
    rows = [row for row in shipped().form_fields.values() if row.list == name]
    for form, most in enumerate(PAIRS[name], start=1):
        assert sorted(int(row.number) for row in rows if int(row.form) == form) == list(range(1, most + 1))


def test_what_changed_from_revision_b_to_c_is_in_the_list() -> None:
    titles = {name: {int(row.number): row.title for row in shipped().form_fields.values()
                     if (row.list, int(row.form)) == (name, 1)} for name in PAIRS}  # fmt: skip
    assert titles["B"][17] == "part serial number"
    assert titles["C"][17] == "part type"
    assert titles["C"][19] == "holds a documented nonconformance"
    assert {number for number in range(1, 14) if titles["B"][number] != titles["C"][number]} == {3}


def test_the_set_says_whether_a_nonconformance_is_documented(begin: Begin) -> None:
    record = begin("assembled").record
    inspector = small.station(record, "inspector")
    first_article(inspector, "SN-1", "full", "C", "first rack of revision D")
    events = record.events()
    said = flat(" ".join(pages(first_article_set(events, "SN-1", small.design(), small.shop(), small.DAY))))
    assert "19holdsadocumentednonconformance" in said
    assert "detailpart" in said
    assert "yes:NC-7" not in said
    raise_nonconformance(inspector, "NC-7", "a scratch", ["SN-1/post.front-left"], "length", {})
    said = flat(
        " ".join(pages(first_article_set(record.events(), "SN-1", small.design(), small.shop(), small.DAY)))
    )
    assert "yes:NC-7" in said
