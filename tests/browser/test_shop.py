"""The shop panel in a real browser: another shop temperature gives other lifts and batches; every view opens."""

import re
from pathlib import Path

import harness
import pytest
from playwright.sync_api import expect

from panelmech import Design
from panelmech.report import shop_sheets
from panelmech.shop.pack import shop_pack

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"
pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture(scope="module", params=["06_shop.ipynb"])
def shop(request, open_first):
    return open_first(request.param)


def part(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name}")


def open_view(page, title):
    part(page, "question").locator("button", has_text=title).click()


def test_shop_temperature_changes_lifts_and_batches(shop):
    open_view(shop, "Pour")
    expect(part(shop, "pours")).to_contain_text("Potted nose")
    expect(part(shop, "pours")).not_to_contain_text("lift 1/2")
    harness.press_on_slider(shop, "shop_temperature", "ArrowRight", times=8)
    expect(part(shop, "pack")).to_contain_text("nose in 2 lifts")
    expect(part(shop, "pours")).to_contain_text("Potted nose, lift 2/2")
    expect(shop.locator(f"{harness.PANEL} .pm-pours.pm-stale")).to_have_count(0)
    harness.press_on_slider(shop, "shop_temperature", "ArrowLeft", times=8)
    expect(part(shop, "pack")).to_contain_text("nose in 1 lift of")
    expect(part(shop, "pours")).not_to_contain_text("lift 1/2")


@pytest.mark.parametrize(
    ("title", "name", "words"),
    [
        ("Cut", "cut", "Mark, outer face up"),
        ("Heat", "lifts", "ILLUSTRATIVE"),
        ("Schedule", "steps", "Stress a scrap joint first"),
        ("Templates", "offsets", "From trailing edge"),
    ],
)
def test_every_view_opens(shop, title, name, words):
    open_view(shop, title)
    expect(part(shop, name)).to_contain_text(words)
    assert shop.locator(f"{harness.PANEL} .pm-view .pm-message:visible", has_text="Not possible").count() == 0


def test_what_cannot_be_is_said_and_put_right(shop):
    field = part(shop, "shop_temperature").locator("input").last
    field.fill("60")
    field.press("Enter")
    expect(shop.locator(f"{harness.PANEL} .pm-message", has_text="Shop temperature is 60 °C: give ")).to_be_visible()
    field.fill("22")
    field.press("Enter")
    expect(part(shop, "pack")).to_contain_text("nose in 1 lift of")
    expect(shop.locator(f"{harness.PANEL} .pm-pack.pm-stale")).to_have_count(0)


@pytest.fixture(scope="module")
def pack_files():
    return shop_sheets.shop_contents(shop_pack(Design.load(DEMO)))


@pytest.mark.parametrize("name", ["cut-list", "batch-sheet", "schedule"])
def test_each_page_prints_on_two_sheets_of_paper_at_most(context, tmp_path, pack_files, name):
    (tmp_path / "page.html").write_bytes(pack_files[f"{name}.html"])
    page = context.new_page()
    page.goto((tmp_path / "page.html").as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    page.close()
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", printed)) <= 2
