"""WCAG 2.2 AA by an engine on every page, and what none looks for: targets for gloves, no sideways scroll."""

import pytest
from tests.browser.conftest import PATIENCE_MS, SIZES
from tests.browser.looking import faults_of
from tests.library.pages_shop import spectrum, table

pytestmark = pytest.mark.browser


def addresses(made):
    pair = f"piece={made.panels['KF-1'].id}&piece={made.panels['KF-3'].id}"
    things = [made.kelp.id, made.kelp_fade.id, made.panels["DV-1"].id, made.panels["SC-1"].id, made.cup.id]
    return ["/", "/mix", f"/pour?mix={made.dusk.id}&amount=50+ml", "/spray", f"/spray/new?recipe={made.dusk_fade.id}",
            "/look", f"/look/compare?{pair}", "/look/readings", "/look/grid?mix=3+weak+teal+:+1+strong+teal",
            f"/share/answers/{made.kelp.id}", "/share", "/find?words=kelp", "/look?order=hand", "/look/pictures",
            f"/pour/cup/{made.cup.id}", f"/thing/{made.cup.id}/label", "/pour/shelf", f"/pour/shelf?for={made.dusk.id}",
            f"/pour/cup/{made.cup.id}/colour?against={made.panels['KF-1'].id}&coats=5",
            f"/thing/{made.panels['KF-2'].id}",
            f"/thing/{made.kelp_fade.id}/coats?piece={made.panels['KF-1'].id}",
            "/look/grid?first=weak+teal&second=strong+teal&over=bright+aluminium&count=2", "/find?words=none-of-these",
            "/find?near=KF-1", "/look/card", "/look/stock",
            "/look/stock?over=bright+aluminium&over=bronze", f"/share/card/{made.kelp_fade.id}",
            "/share/answers", "/thing/none", "/look/reach", f"/thing/{made.grounds[0]}/facts",
            f"/thing/{made.panels['KF-1'].id}/missed", f"/thing/{made.kelp_fade.id}/repair",
            "/pour?mix=none", "/look?words=none-of-these",
            *(f"/thing/{one}" for one in things)]  # fmt: skip


EVERY_LOOK = [
    pytest.param(
        size, scheme, marks=() if (size, scheme) in (("phone", "light"), ("desktop", "dark")) else pytest.mark.long
    )
    for size in SIZES
    for scheme in ("light", "dark")
]


@pytest.mark.parametrize(("size", "scheme"), EVERY_LOOK)
def test_every_page_can_be_read_and_tapped_and_the_engine_finds_no_violation(chromium, served, size, scheme):
    made, address, secret = served
    width, height = SIZES[size]
    context = chromium.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.goto(secret)
    wrong = {}
    for path in addresses(made):
        page.goto(address + path)
        if found := faults_of(page):
            wrong[path] = found
    for name, comes_to in (("tally", began), ("table", dropped), ("shelf", shelved)):
        comes_to(page, address, made, f"{size}-{scheme}")
        if found := faults_of(page):
            wrong[name] = found
    context.close()
    assert wrong == {}


def began(page, address, made, code):
    """A spray day begins, and one coat is on."""
    page.goto(f"{address}/spray/new?recipe={made.kelp_fade.id}")
    page.get_by_label("Piece 1").fill(code)
    page.get_by_label("Piece 2").fill(f"{code}-2")
    page.get_by_label("shape").nth(1).select_option("curved")
    with page.expect_navigation():
        page.get_by_role("button", name="Begin").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Coat on: all").click()


def shelved(page, address, made, code):
    """A bottle stands on the shelf."""
    page.goto(f"{address}/pour/shelf")
    page.get_by_label("How strong, 1 is equal").fill("1.2")
    with page.expect_navigation():
        page.get_by_role("button", name="Put it on the shelf").click()


def dropped(page, address, made, code):
    """A table is looked into."""
    page.goto(f"{address}/look/readings")
    file = {"name": "may.csv", "mimeType": "text/csv", "buffer": table([("DV-2", spectrum(0.3, 440))])}
    page.locator("input[type=file]").set_input_files(file)
    with page.expect_navigation():
        page.get_by_role("button", name="Look into it").click()


def test_the_engine_can_find_one(page):
    from axe_playwright_python.sync_playwright import Axe

    page.evaluate("document.querySelector('main').insertAdjacentHTML('beforeend', '<img src=\"/static/icon.svg\">')")
    assert [one["id"] for one in Axe().run(page).response["violations"]] == ["image-alt"]


def test_it_reads_and_taps_without_scripts(chromium, served):
    _, _, secret = served
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(secret)
    with page.expect_navigation():
        page.get_by_role("link", name="Look", exact=True).click()
    assert page.locator(".hanging").count() >= 6
    context.close()


def test_the_keyboard_goes_to_the_page_itself_first(page):
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "To the page itself"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"


def test_what_the_keyboard_comes_to_is_never_hidden_behind_the_doors(chromium, served):
    """WCAG 2.2, 2.4.11: on a phone the doors lie over the foot of the page, and a button over the head of the tally."""
    made, address, secret = served
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.goto(secret)
    began(page, address, made, "keys")
    seen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        hidden = page.evaluate("""() => {
          const one = document.activeElement, box = one.getBoundingClientRect();
          if (one === document.body || one.closest("nav, .skip")) return "";
          const at = document.elementFromPoint(box.x + box.width / 2, box.y + Math.min(box.height / 2, 20));
          const seen = one === at || one.contains(at) || (at && at.contains(one) && at.closest("label"));
          return seen ? "" : one.outerHTML.slice(0, 120);
        }""")
        seen += [hidden] if hidden else []
    context.close()
    assert seen == []
