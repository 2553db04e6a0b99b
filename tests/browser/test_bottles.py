"""A cup brought toward its standard, and my shelf: with taps, and without scripts."""

import re

import pytest

pytestmark = pytest.mark.browser


def test_a_cup_is_corrected_by_what_is_ticked_and_kept_so(page, served):
    made, address, _ = served
    page.goto(f"{address}/pour/cup/{made.cup.id}")
    page.get_by_role("link", name="Correct its colour").click()
    page.locator("select[name=against]").select_option(label="KF-1, over bright aluminium")
    page.get_by_role("button", name="Work it out").click()
    page.get_by_role("heading", name=re.compile("Toward KF-1")).wait_for()
    first = page.locator(".ways > li").filter(has=page.get_by_role("checkbox")).first
    first.locator(".tick").first.click()
    assert first.get_by_role("checkbox").first.is_checked()
    first.get_by_role("button", name="Added: the new cup takes this one whole").click()
    page.get_by_text(re.compile("Added to, toward KF-1")).wait_for()
    assert page.get_by_role("link", name="Its label").is_visible()


def test_a_bottle_stands_on_my_shelf_until_it_is_empty_without_scripts(chromium, served):
    _, address, secret = served
    context = chromium.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    page.goto(secret)
    page.goto(f"{address}/pour")
    page.get_by_role("link", name="My shelf").click()
    page.get_by_label("For the material").select_option(label="violet dye")
    page.get_by_label("How strong, 1 is equal").fill("2")
    page.get_by_label("give or take").fill("0.1")
    page.get_by_role("button", name="Put it on the shelf").click()
    page.get_by_text("2.00 ± 0.10").wait_for()
    page.get_by_label("Recipe or mix").select_option(label="Dusk violet")
    page.get_by_role("button", name="From my bottles").click()
    page.get_by_text("1 strong teal : 2 violet dye").wait_for()
    page.get_by_role("button", name="violet dye is empty: take it off").click()
    page.get_by_text("Nothing stands here").wait_for()
    context.close()
