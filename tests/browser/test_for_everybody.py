"""WCAG 2.2 AA by an engine on every page, and what none looks for: targets for gloves, no sideways scroll."""

import pytest
from tests.browser.conftest import SIZES

pytestmark = pytest.mark.browser

CHECKS = """() => {
  const wrong = [];
  const told = (one) => one.outerHTML.slice(0, 120);
  const shown = (one) => one.checkVisibility() && one.getBoundingClientRect().width > 2;
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  const twice = ids.filter((one, at) => ids.indexOf(one) !== at);
  if (twice.length) wrong.push("an id stands twice: " + twice);
  for (const one of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
    if (!one.labels.length) wrong.push("no label: " + told(one));
  }
  for (const one of document.querySelectorAll("a, button, summary")) {
    if (!(one.textContent || one.getAttribute("aria-label") || "").trim()) wrong.push("no name: " + told(one));
  }
  for (const one of document.querySelectorAll("svg")) {
    if (!one.getAttribute("aria-label") && !one.closest("[aria-hidden=true]"))
      wrong.push("a picture without words: " + told(one));
  }
  let level = 0;
  for (const one of document.querySelectorAll("h1, h2, h3, h4")) {
    const now = Number(one.tagName[1]);
    if (now > level + 1) wrong.push("a heading is skipped: " + told(one));
    level = now;
  }
  for (const one of document.querySelectorAll("button, summary, .doors a, .big")) {
    const box = one.getBoundingClientRect();
    if (shown(one) && (box.height < 44 || box.width < 44)) wrong.push("too small for a glove: " + told(one));
  }
  const numbers = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map((part) => part / 255)
    .map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
    .reduce((sum, part, at) => sum + part * [0.2126, 0.7152, 0.0722][at], 0);
  const behind = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const found = numbers(getComputedStyle(at).backgroundColor);
      if (found.length < 4 || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const one = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || one.closest("svg") || !shown(one)) continue;
    const style = getComputedStyle(one);
    const [ink, paper] = [light(numbers(style.color)), light(behind(one))];
    const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    if (ratio < 4.5) wrong.push(`contrast ${ratio.toFixed(2)}: ` + told(one));
  }
  if (document.documentElement.scrollWidth > innerWidth) wrong.push("the page scrolls sideways");
  return wrong;
}"""


def addresses(made):
    pair = f"piece={made.panels['KF-1'].id}&piece={made.panels['KF-3'].id}"
    things = [made.kelp.id, made.kelp_fade.id, made.panels["DV-1"].id, made.panels["SC-1"].id, made.cup.id]
    return ["/", "/mix", f"/pour?mix={made.dusk.id}&amount=50+ml", "/spray", f"/spray/new?recipe={made.dusk_fade.id}",
            "/look", f"/look/compare?{pair}", "/look/readings", "/look/grid?mix=3+weak+teal+:+1+strong+teal",
            f"/share/answers/{made.kelp.id}", "/share", "/find?words=kelp", "/look?order=hand", "/look/pictures",
            f"/pour/cup/{made.cup.id}", f"/thing/{made.cup.id}/label", f"/thing/{made.panels['KF-1'].id}/label",
            f"/thing/{made.kelp_fade.id}/coats?piece={made.panels['KF-1'].id}",
            "/look/grid?first=weak+teal&second=strong+teal&over=bright+aluminium&count=2", "/find?words=none-of-these",
            "/find?near=KF-1", "/find?near=50+0+0", "/look/card", "/look/stock",
            "/look/stock?over=bright+aluminium&over=bronze", f"/share/card/{made.kelp_fade.id}",
            "/share/answers", "/thing/none", "/look/reach",
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
    from axe_playwright_python.sync_playwright import Axe

    made, address, secret = served
    width, height = SIZES[size]
    context = chromium.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    page = context.new_page()
    page.goto(secret)
    wrong = {}
    for path in addresses(made):
        page.goto(address + path)
        found = page.evaluate(CHECKS)
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        for one in Axe().run(page).response["violations"]:
            found.append((one["id"], [node["html"][:160] for node in one["nodes"][:3]]))
        if found:
            wrong[path] = found
    context.close()
    assert wrong == {}


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
