"""`rackwright plan` as it is typed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import rackwright
from papers.reading import flat, pages
from rackwright.faces.cli.main import main
from rackwright.papers.lengths import inches
from rackwright.trouble import DEFERENCE

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
VARIATION, STANDARD = str(DEMO / "variations" / "er-47-v12.toml"), str(DEMO / "standards" / "er-47.toml")
BRACED = str(DEMO / "variations" / "er-47-v13.toml")
STOCK = str(DEMO / "stock.toml")

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs the command; gives exit code, stdout, stderr."""
    monkeypatch.delenv("RACKWRIGHT_SHOP", raising=False)

    def run(*args: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main(["plan", *args])
        out, err = capsys.readouterr()
        return int(left.value.code or 0), out, err

    return run


def test_an_order_for_people(run: Run) -> None:
    code, out, err = run(VARIATION, "--quantity", "3", "--stock", STOCK)
    assert (code, err) == (0, "")
    assert "3 x ER-47-V12 revision A" in out
    assert "UNCONFIRMED" in out
    assert "T-06, SQ 1.5x0.125: Fty: 34.2 ksi, short by 0.8 ksi" in out
    assert "to buy: nothing" in out
    assert "first fit costs" in out
    assert out.rstrip().endswith(DEFERENCE)


def test_an_order_for_programs(run: Run) -> None:
    code, out, err = run(
        VARIATION, STANDARD, "--quantity", "2", "--quantity", "1", "--effort", "20", "--json"
    )
    assert (code, err) == (0, "")
    document = json.loads(out)
    assert [(row["part"], row["quantity"]) for row in document["demand"]] == [("ER-47-V12", 2), ("ER-47", 1)]
    assert document["search"]["effort"] == 20
    assert document["buy"]


def test_the_plate_sheet_and_its_files_are_those_of_the_plan(run: Run, tmp_path: Path) -> None:
    """Three racks on plates in stock: by whom and how they are laid, in the plan, on the sheet and in the DXF files."""
    _, out, _ = run(BRACED, "--quantity", "3", "--stock", STOCK, "--effort", "0", "--json")
    jobs = json.loads(out)["plate"]["jobs"]
    laid = [(job, plate) for job in jobs for plate in job["plates"]]
    assert {plate["item"] for _, plate in laid} == {"B-32", "P-41", "P-42"}
    with pytest.raises(SystemExit):
        main(
            ["papers", BRACED, "--quantity", "3", "--stock", STOCK, "--only", "plate", "--out", str(tmp_path)]
        )
    text = flat(" ".join(pages((tmp_path / "plate.pdf").read_bytes())))
    for job, plate in laid:
        assert flat(job["packer"]) in text
        for n, blank in enumerate(plate["blanks"], start=1):
            x, y = map(inches, blank["at_nm"])
            row = f"{plate['number']}/{n}{blank['part_number']}{blank['piece']}rack {blank['rack']}{x}{y}"
            assert flat(row) in text
    files = {path.stem.removesuffix("_in") for path in (tmp_path / "dxf").glob("*.dxf")}
    assert files <= {f"{plate['item']}-{plate['number']}" for _, plate in laid}
    assert {name.rpartition("-")[0] for name in files} == {"B-32", "P-41", "P-42"}


def test_no_stock_is_said(run: Run) -> None:
    _, out, _ = run(STANDARD, "--effort", "0")
    assert "no stock was given: every bar is to be bought" in out
    assert "to buy:\n" in out


def test_pieces_without_a_bar_are_a_no(run: Run, tmp_path: Path) -> None:
    text = (DEMO / "shop.toml").read_text("utf-8")
    (tmp_path / "shop.toml").write_text(text.replace('["20 ft", "24 ft"]', '["3 ft"]'), "utf-8")
    (tmp_path / "standards").symlink_to(DEMO / "standards")
    code, out, err = run(VARIATION, "--shop", str(tmp_path), "--effort", "0", "--json")
    document = json.loads(out)
    assert (code, document["feasible"]) == (1, False)
    assert document["saw"]["SQ 1.5x0.125"]["status"] == "infeasible"
    assert {row["piece"] for row in document["saw"]["SQ 1.5x0.125"]["missing"]} == {
        f"post.{corner}" for corner in ("front-left", "front-right", "rear-left", "rear-right")
    }
    assert err.count("[RW402]") == 2  # two part numbers: the posts of left and right are alike


def test_what_the_shelf_lacks_and_the_cheapest_purchase(run: Run) -> None:
    """The shop's price is invented: 11.40 USD/lb, 25 % on top; a foot of the tube weighs 0.7770 lb (hand: 0.6607 in2
    x 12 in x 0.098 lb/in3), so that 20 ft cost 221.43 USD and 24 ft 265.72 USD."""
    code, out, _ = run(VARIATION, "--quantity", "12", "--stock", STOCK, "--json")
    document = json.loads(out)
    assert code == 1  # plates are short too
    lacking = {one["section"]: one for one in document["lacking"]}
    tube = lacking["SQ 1.5x0.125"]
    assert 0 < tube["short_at_least_nm"] <= tube["short_nm"]
    posts = next(row for row in tube["short"] if row["from_one_heat"])
    assert posts["count"] % 4 == 0
    assert set(posts["most_by_heat"]) == {"H4471", "H4502", "H4519"}
    bought = tube["cheapest_purchase"]
    counts = {row["length_nm"] // 25_400_000: row["count"] for row in bought["buy"]}
    cost = counts.get(240, 0) * 221.43 + counts.get(288, 0) * 265.72
    assert bought["proven"]
    assert float(bought["cost"].split()[0]) == pytest.approx(cost, abs=0.06)
    assert bought["at_least"] == bought["cost"]


def test_where_nothing_can_be_bought_the_price_is_asked_for(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    text = (DEMO / "shop.toml").read_text()
    shop.write_text(text.replace('purchase_lengths = ["20 ft", "24 ft"]\n', ""))
    code, out, _ = run(VARIATION, "--quantity", "12", "--stock", STOCK, "--shop", str(tmp_path))
    assert code == 1
    assert "asked for: price and purchase_lengths of AMS-WW-T-700/6 (shop.toml, price)" in out


@pytest.mark.parametrize(
    ("args", "code"),
    [
        ([], "RW001"),
        ([VARIATION, "--quantity", "0"], "RW001"),
        ([VARIATION, "--quantity", "1", "--quantity", "2"], "RW001"),
        ([VARIATION, "--effort", "1", "--seconds", "1"], "RW001"),
        (["nowhere.toml"], "RW002"),
        ([VARIATION, "--stock", "nowhere.toml"], "RW002"),
        ([VARIATION, "--stock", VARIATION], "RW110"),
        ([STOCK], "RW110"),
        ([STANDARD, "--shop", "nowhere"], "RW002"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_document_and_exit_2(run: Run, args: list[str], code: str) -> None:
    left, out, err = run(*args, "--json")
    assert left == 2
    assert json.loads(out)["trouble"][0]["code"] == code
    assert code in err


def test_a_rack_that_cannot_be_built_is_not_planned(run: Run, tmp_path: Path) -> None:
    text = Path(VARIATION).read_text("utf-8").replace('height = "24 in"', 'height = "31 in"')
    (tmp_path / "v.toml").write_text(text, "utf-8")
    left, out, _ = run(str(tmp_path / "v.toml"), "--shop", str(DEMO), "--json")
    assert left == 2
    assert all(trouble["code"].startswith("RW2") for trouble in json.loads(out)["trouble"])
