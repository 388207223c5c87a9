"""The critical path method: a worked example of a public course page (seven events, table 2), and one by hand.

How known: read in a stored public copy. Durations and precedents are those of table 1:
A 6; B 2, C 2 after A; D 3 after B; F 2 after C; E 4 after D and F; G 1 after E.
"""

from __future__ import annotations

from rackwright.making.dates.tasks import Task, critical_path

SOURCE = "course page, critical path"
TABLE = {  # event: duration, precedents, ES, EF, slack as printed
    "A": (6, "", 0, 6, 0), "B": (2, "A", 6, 8, 0), "C": (2, "A", 6, 8, 1), "D": (3, "B", 8, 11, 0),
    "F": (2, "C", 8, 10, 1), "E": (4, "DF", 11, 15, 0), "G": (1, "E", 15, 16, 0),
}  # fmt: skip


def test_table_2_of_the_example(published):
    placed = critical_path([Task(name, row[0], tuple(row[1])) for name, row in TABLE.items()])
    for name, (_, _, start, end, slack) in TABLE.items():
        published(SOURCE, f"table 2, {name} ES", placed[name].start, str(start), "published")
        published(SOURCE, f"table 2, {name} EF", placed[name].end, str(end), "published")
        published(SOURCE, f"table 2, {name} slack", placed[name].slack, str(slack), "published")
    assert [name for name in TABLE if placed[name].critical] == ["A", "B", "D", "E", "G"]


def test_a_rack_job_by_hand(published):
    """cut 3, mill 6, ring 4, jig 5 after cut and mill, mask 1, coat 8, assembly 4 after coat and ring, inspection 2.

    Longest: mill 6 + jig 5 + mask 1 + coat 8 + assembly 4 + inspection 2 = 26 h; ring waits 26 - 2 - 4 - 4 = 16 h.
    """
    rows = [("cut", 3, ()), ("mill", 6, ()), ("ring", 4, ()), ("jig", 5, ("cut", "mill")), ("mask", 1, ("jig",)),
            ("coat", 8, ("mask",)), ("assembly", 4, ("coat", "ring")), ("inspection", 2, ("assembly",))]  # fmt: skip
    placed = critical_path([Task(*row) for row in rows])
    published("arithmetic", "makespan", placed["inspection"].end, "26", "closed form")
    published("arithmetic", "slack of ring", placed["ring"].slack, "16", "closed form")
    published("arithmetic", "slack of cut", placed["cut"].slack, "3", "closed form")
    assert [name for name, *_ in rows if placed[name].critical] == [
        "mill",
        "jig",
        "mask",
        "coat",
        "assembly",
        "inspection",
    ]
