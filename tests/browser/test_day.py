import pytest
from tests.library.pages_shop import spectrum, table

pytestmark = pytest.mark.browser


def test_today_leads_to_the_wall_and_two_pieces_are_compared(page):
    assert page.locator("h1").inner_text().startswith("Reed yard")
    with page.expect_navigation():
        page.get_by_role("link", name="Look", exact=True).click()
    page.get_by_label("compare KF-1").check()
    page.get_by_label("compare KF-3").check()
    page.get_by_label("compare DV-1").check()
    assert not page.get_by_label("compare KF-1").is_checked()
    page.get_by_label("compare KF-1").check()
    page.get_by_label("compare DV-1").check()
    page.get_by_label("compare DV-1").uncheck()
    page.get_by_label("compare KF-3").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Compare the two picked").click()
    assert page.locator("h1").inner_text().startswith("KF-")
    assert not page.get_by_role("table").is_visible()
    page.get_by_text("In numbers", exact=True).click()
    assert page.get_by_role("table").is_visible()


def test_choosing_then_spraying_three_pieces(page, served):
    _, address, _ = served
    with page.expect_navigation():
        page.get_by_role("link", name="Kelp glass two answers to the mix").click()
    page.get_by_label("Why?").fill("closer to the panel on the wall")
    with page.expect_navigation():
        page.get_by_role("button", name="This one stands: a").click()
    assert "closer to the panel on the wall" in page.locator("main").inner_text()
    with page.expect_navigation():
        page.get_by_role("link", name="Spray", exact=True).click()
    with page.expect_navigation():
        page.get_by_role("link", name="Kelp fade").click()
    for place, over in enumerate(("bright aluminium", "bronze", "graphite"), 1):
        page.get_by_label(f"Piece {place}").fill(f"B{place}")
        page.get_by_label("over").nth(place - 1).select_option(label=over)
    with page.expect_navigation():
        page.get_by_role("button", name="Begin").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Coat on: all").click()
    page.locator("label", has_text="B2").first.click()
    with page.expect_navigation():
        page.get_by_role("button", name="Coat on: these only").click()
    assert "Kelp glass bodied 2 of 5" in page.locator("label", has_text="B2").first.inner_text()
    assert "just now" in page.locator("label", has_text="B1").first.inner_text()
    page.get_by_text("The day is done").click()
    page.get_by_role("button", name="Save every sprayed piece as a panel").click()
    page.wait_for_url(f"{address}/look**")
    assert {"B1", "B2", "B3"} <= set(page.locator(".wall .tape").all_inner_texts())


def test_a_table_is_dropped_and_taken_in(page, served):
    _, address, _ = served
    page.goto(f"{address}/look/readings")
    file = {"name": "may.csv", "mimeType": "text/csv", "buffer": table([("DV-2", spectrum(0.3, 440))])}
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Look into it").click()
    page.locator("main").get_by_text("may.csv").wait_for()
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
    assert page.locator("h1").inner_text() == "1 reading taken in"
