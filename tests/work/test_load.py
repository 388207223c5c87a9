"""Files found from a path: bases by name in the order of the folders, the shop, and what cannot be read."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import rackwright
from rackwright.trouble import Stopped
from rackwright.work.load import ENVIRONMENT, find_shop, gather, load_rack, load_shop, load_stock, read_file

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
VARIATION = (DEMO / "variations" / "er-47-v12.toml").read_text("utf-8")
STANDARD = (DEMO / "standards" / "er-47.toml").read_text("utf-8")


@pytest.fixture(autouse=True)
def no_shop_in_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ENVIRONMENT, raising=False)


def put(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def trouble(path: str | Path, shop: Path | None = None) -> tuple[str, str]:
    with pytest.raises(Stopped) as caught:
        load_rack(path, shop)
    assert caught.value.exit_code == 2
    first = caught.value.troubles[0]
    return first.code, first.where.file


def height(path: Path, shop: Path | None = None) -> float:
    return load_rack(path, shop).definition.outside.height / 25_400_000


def test_the_demo_s_variation_finds_its_standard() -> None:
    assert height(DEMO / "variations" / "er-47-v12.toml") == 43.5
    assert height(DEMO / "standards" / "er-47.toml") == 47


@pytest.mark.parametrize("place", ["job/er-47.toml", "standards/Er-47.TOML", "shop/standards/ER-47.toml"])
def test_a_base_is_found_beside_in_the_sibling_and_in_the_shop(tmp_path: Path, place: str) -> None:
    put(tmp_path / place, STANDARD)
    put(tmp_path / "shop" / "shop.toml", "")
    assert height(put(tmp_path / "job" / "v.toml", VARIATION), tmp_path / "shop") == 43.5


def test_the_shop_s_standard_goes_before_a_copy_beside_the_file(tmp_path: Path) -> None:
    put(tmp_path / "shop" / "standards" / "er-47.toml", STANDARD)
    put(tmp_path / "job" / "er-47.toml", "format = 1")
    path = put(tmp_path / "job" / "v.toml", VARIATION)
    assert height(path, tmp_path / "shop") == 43.5
    assert trouble(path) == ("RW110", str(tmp_path / "job" / "er-47.toml"))


def test_a_base_may_be_a_variation(tmp_path: Path) -> None:
    put(tmp_path / "er-47.toml", STANDARD)
    put(tmp_path / "er-47-v12.toml", VARIATION)
    own = VARIATION[: VARIATION.index("[[change]]")].replace('"ER-47-V12"', '"ER-47-V13"')
    own = own.replace('base = "ER-47"', 'base = "ER-47-V12"').replace(
        'base_revision = "D"', 'base_revision = "A"'
    )
    own += '[[change]]\nwhy = "lower still"\n[change.outside]\nheight = "43 in"\n'
    path = put(tmp_path / "er-47-v13.toml", own)
    assert height(path) == 43
    assert sorted(gather(path)[1]) == ["er-47", "er-47-v12"]


def test_bases_that_lead_in_a_circle_are_a_fault_and_no_endless_search(tmp_path: Path) -> None:
    put(tmp_path / "b.toml", VARIATION.replace('base = "ER-47"', 'base = "A"').replace("ER-47-V12", "B"))
    path = put(
        tmp_path / "a.toml", VARIATION.replace('base = "ER-47"', 'base = "B"').replace("ER-47-V12", "A")
    )
    assert trouble(path)[0] == "RW109"


def test_a_missing_base_is_named_at_its_line(tmp_path: Path) -> None:
    path = put(tmp_path / "v.toml", VARIATION)
    with pytest.raises(Stopped) as caught:
        load_rack(path)
    (fault,) = caught.value.troubles
    assert (fault.code, fault.where.file, fault.where.field) == ("RW108", str(path), "base")
    assert VARIATION.splitlines()[fault.where.line - 1] == 'base = "ER-47"'


def test_a_base_that_cannot_be_read_is_named_itself(tmp_path: Path) -> None:
    base = tmp_path / "er-47.toml"
    base.write_bytes(b"#" * 5_000_001)
    assert trouble(put(tmp_path / "v.toml", VARIATION)) == ("RW005", str(base))


@pytest.mark.parametrize("name", ["missing.toml", ".", "v.toml/x", "nul\0byte", "n" * 5000])
def test_what_cannot_be_read(tmp_path: Path, name: str) -> None:
    put(tmp_path / "v.toml", VARIATION)
    path = f"{tmp_path}/{name}"
    assert trouble(path) == ("RW002", path)


def test_a_file_too_large_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(10**12)
    assert trouble(path) == ("RW005", str(path))


# --- the shop ------------------------------------------------------------------------------------


def test_the_shop_is_the_one_named_else_the_nearest_above_else_the_environment_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = put(tmp_path / "near" / "variations" / "deep" / "v.toml", VARIATION)
    assert find_shop(path) is None
    monkeypatch.setenv(ENVIRONMENT, "elsewhere")
    assert find_shop(path) == Path("elsewhere")
    put(tmp_path / "shop.toml", "")
    assert find_shop(path) == tmp_path
    put(tmp_path / "near" / "shop.toml", "")
    assert find_shop(path) == tmp_path / "near"
    assert find_shop(path, "named") == Path("named")
    monkeypatch.chdir(tmp_path)
    assert find_shop("near/variations/x.toml") == Path("near")


def test_a_shop_and_its_stock(tmp_path: Path) -> None:
    for name in ("shop.toml", "stock.toml"):
        shutil.copy(DEMO / name, tmp_path / name)
    assert load_shop(tmp_path).currency == "USD"
    assert load_stock(tmp_path / "stock.toml")[0].id == "T-01"


@pytest.mark.parametrize(
    ("text", "code"), [(None, "RW002"), ("", "RW004"), ('format = "rackwright/shop/2"', "RW110")]
)
def test_a_shop_that_cannot_be_used(tmp_path: Path, text: str | None, code: str) -> None:
    if text is not None:
        put(tmp_path / "shop.toml", text)
    with pytest.raises(Stopped) as caught:
        load_shop(tmp_path)
    (fault,) = caught.value.troubles
    assert (fault.code, fault.where.file) == (code, str(tmp_path / "shop.toml"))
    with pytest.raises(Stopped):
        load_stock(tmp_path / "stock.toml")


def test_no_shop_at_all_says_how_to_name_one() -> None:
    with pytest.raises(Stopped) as caught:
        load_shop(None)
    (fault,) = caught.value.troubles
    assert fault.code == "RW002"
    assert "--shop" in fault.do
    assert ENVIRONMENT in fault.do


def test_a_file_keeps_the_name_it_was_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(tmp_path / "a.toml", "a = 1")
    monkeypatch.chdir(tmp_path)
    assert (read_file("a.toml").file, read_file("a.toml").data) == ("a.toml", b"a = 1")
