"""The whole main job through the browser as a new user would: at a hub, with a second shop that shares by sync."""

import re

import pytest
from tests.browser.conftest import PATIENCE_MS
from tests.browser.looking import faults_of
from tests.library.hub.conftest import Live, Shops
from tests.library.pages_shop import spectrum, table

from sprayout_core.mix import parse_line, read_back
from sprayout_library.record import Names, Writer
from sprayout_library.record.formulas import mix_changes

pytestmark = pytest.mark.browser


@pytest.fixture
def shops(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    live = Live(tmp_path)
    bench = Shops(tmp_path, monkeypatch, live)
    yield bench
    bench.close()
    live.stop()


@pytest.fixture
def page(chromium, shops):
    said = []
    context = chromium.new_context(viewport={"width": 820, "height": 1180}, accept_downloads=True)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    context.close()
    assert [one for one in said if "status of 422" not in one] == []  # a refusal, shown with what to do


def door(page, name):
    with page.expect_navigation():
        page.get_by_role("link", name=name, exact=True).click()


def material(page, name, role, *cautions):
    door(page, "Mix")
    page.get_by_text("Write down a material").click()
    form = page.locator("form", has=page.get_by_role("button", name="Write it down"))
    form.get_by_label("Its name").fill(name)
    form.get_by_label("What it is for").select_option(role)
    for one in cautions:
        form.get_by_label(one, exact=True).check()
    form.get_by_role("button", name="Write it down").click()
    page.get_by_role("heading", level=1, name=name).wait_for()


def mixed(page):
    material(page, "bright aluminium", "metallic")
    material(page, "bronze", "metallic")
    material(page, "two-pack gloss", "clear", "isocyanate")
    door(page, "Mix")
    page.locator("input[name=line]").fill("Kelp glass = 5 weak teal : 2 strong teal")
    page.get_by_role("button", name="Write it", exact=True).click()
    for name in ("weak teal", "strong teal"):
        page.locator("label", has_text=name).locator("select").select_option("dye")
    page.get_by_role("button", name="Write it", exact=True).click()
    page.get_by_role("heading", level=1, name="Kelp glass").wait_for()
    door(page, "Mix")
    page.get_by_text("Write a recipe").click()
    form = page.locator("form", has=page.get_by_role("button", name="Write the recipe"))
    form.get_by_label("Its name").fill("Kelp fade")
    form.get_by_label("Over which grounds, one a line").fill("bright aluminium\nbronze")
    form.get_by_label("Coats, one a line").fill("3 Kelp glass, laid medium")
    form.get_by_label("Clear").fill("two-pack gloss")
    form.get_by_role("button", name="Write the recipe").click()
    page.get_by_role("heading", level=1, name="Kelp fade").wait_for()
    assert "isocyanate" in page.locator("main").inner_text()


def poured(page):
    door(page, "Pour")
    page.locator("select[name=mix]").select_option(label="Kelp glass")
    page.get_by_label("How much").fill("140 ml")
    page.get_by_role("button", name="List it").click()
    page.get_by_text("100 ml", exact=True).first.wait_for()
    page.get_by_role("button", name="Poured: keep this cup").click()
    door(page, "Today")
    page.get_by_text("140 ml left").wait_for()


def sprayed(page):
    door(page, "Spray")
    with page.expect_navigation():
        page.get_by_role("link", name="Kelp fade").click()
    for place, over in enumerate(("bright aluminium", "bronze", "bronze"), 1):
        page.get_by_label(f"Piece {place}").fill(f"K{place}")
        page.get_by_label("over").nth(place - 1).select_option(label=over)
    with page.expect_navigation():
        page.get_by_role("button", name="Begin").click()
    for _ in range(3):
        with page.expect_navigation():
            page.get_by_role("button", name="Coat on: all").click()
    assert "3 of 3" in page.locator("label", has_text="K2").first.inner_text()
    page.get_by_text("The day is done").click()
    page.get_by_role("button", name="Save every sprayed piece as a panel").click()
    page.wait_for_url("**/look**")
    assert {"K1", "K2", "K3"} <= set(page.locator(".wall .tape").all_inner_texts())


def measured(page):
    page.get_by_role("link", name="Take readings in").first.click()
    content = table(
        [("K1", spectrum(0.45, 520)), ("K2", spectrum(0.3, 530, scale=0.7)), ("K3", spectrum(0.31, 531, scale=0.7))]
    )
    page.locator("input[type=file]").set_input_files(
        {"name": "june.csv", "mimeType": "text/csv", "buffer": content}
    )  # fmt: skip
    page.get_by_role("button", name="Look into it").click()
    page.locator("main").get_by_text("june.csv").wait_for()
    for option, value in (("scale", "percent"), ("geometry", "45:0"), ("stage", "bare")):
        field = page.locator(f'input[name="set-{option}"]')
        if field.first.get_attribute("type") == "radio":
            page.locator(f'input[name="set-{option}"][value="{value}"]').check()
        else:
            field.fill(value)
    with page.expect_navigation():
        page.get_by_role("button", name="Go on").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Take them in").click()
    assert page.locator("h1").inner_text() == "3 readings taken in"


def compared(page):
    door(page, "Look")
    page.get_by_label("compare K1").check()
    page.get_by_label("compare K2").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Compare the two picked").click()
    assert re.search(r"darker|lighter", page.locator("main").inner_text())


def edited(store, line):
    names = Names(store)
    held = store.get(names.find("Kelp glass", "formula").id)
    writer = Writer(store, "ben")
    writer.save([writer.edited(held, mix_changes(held, read_back(parse_line(line)), names))], "another ratio")


def test_from_the_first_mix_to_a_printed_card(page, shops):
    live = shops.live
    live.person("ben", "contributor", shop="Moss")
    page.goto(f"http://127.0.0.1:{live.port}/")
    assert faults_of(page) == []
    page.get_by_label("Your token").fill(live.tokens["cal"])
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="co-op").wait_for()
    assert faults_of(page) == []
    page.get_by_role("link", name="co-op").click()
    page.get_by_label("What it is called").wait_for()
    assert faults_of(page) == []
    page.get_by_label("What it is called").fill("Reed yard")
    with page.expect_navigation():
        page.get_by_role("button", name="Begin").click()
    page.get_by_role("heading", level=1, name="Reed yard").wait_for()
    mixed(page)
    poured(page)
    sprayed(page)
    measured(page)
    compared(page)

    moss, _ = shops.at_hub("moss", "ben")  # the second shop joins, and both change the mix, apart
    edited(moss, "Kelp glass = 7 weak teal : 4 strong teal")
    door(page, "Mix")
    page.locator("input[name=line]").fill("Kelp glass = 8 weak teal : 3 strong teal")
    page.get_by_role("button", name="Write it", exact=True).click()
    door(page, "Today")
    assert not page.get_by_text("Two answers waiting").count()
    shops.sync(moss)
    page.get_by_text("Two answers waiting").wait_for()  # it came in while the page was open
    page.get_by_role("link", name=re.compile("Kelp glass.*two answers")).click()
    page.get_by_label("Why?").fill("closer to the piece on the wall")
    page.get_by_role("button", name="This one stands: a").click()
    page.get_by_role("heading", level=1, name="Kelp glass").wait_for()

    door(page, "Share")
    page.get_by_role("link", name="Its card on one page").click()
    page.get_by_role("button", name="Make a public link").click()
    address = page.get_by_label("The address").input_value()
    door(page, "Look")
    page.get_by_role("link", name=re.compile("K1")).first.click()
    page.get_by_role("link", name="Its label").click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Label as a file").click()
    with open(download.value.path(), "rb") as file:  # noqa: PTH123
        assert file.read(5) == b"%PDF-"

    stranger = page.context.browser.new_context().new_page()
    stranger.goto(address)
    told = stranger.locator("main").inner_text()
    assert "Kelp fade" in told and "isocyanate" in told and "K1" not in told and "cal" not in told.split()
    assert faults_of(stranger) == []
    stranger.emulate_media(media="print")
    assert stranger.pdf(format="A4").startswith(b"%PDF-")
    stranger.context.close()

    shops.sync(moss)
    with live.hub.store("co-op") as store:
        assert store.head == moss.head
        assert [one.name for one in store.documents("panel")] and len(list(store.documents("reading"))) == 3
