import pytest

pytestmark = pytest.mark.browser


def test_a_recipe_answers_how_many_coats_a_piece_has(page, served):
    made, address, _ = served
    page.goto(f"{address}/thing/{made.kelp_fade.id}")
    assert page.get_by_role("img", name="Step card over bright aluminium").is_visible()
    with page.expect_navigation():
        page.get_by_role("link", name="How many coats is this?").click()
    page.get_by_label("A piece").select_option(label="KF-1, over bright aluminium")
    page.get_by_label("Step card").select_option(label="SC-1, over bright aluminium")
    with page.expect_navigation():
        page.get_by_role("button", name="Count").click()
    assert "KF-1 looks like no step of this card" in page.locator("#answer").inner_text()  # of no dye of the card
    assert "The nearest is" in page.locator("main").inner_text()
    page.get_by_label("A piece").select_option(label="none: I type it")
    for axis, value in zip("Lab", ("60", "-20", "2"), strict=True):
        page.get_by_role("textbox", name=f"{axis}*").fill(value)
    with page.expect_navigation():
        page.get_by_role("button", name="Count").click()
    assert page.locator("#answer").inner_text().startswith("what you typed")


def test_the_ratio_of_two_is_slid_by_hand(page, served):
    page.goto(f"{served[1]}/look/grid?mix=3+weak+teal+:+1+strong+teal&coats=2,4")
    slider = page.get_by_label("Twelfths of strong teal")
    slider.focus()
    with page.expect_navigation():
        page.keyboard.press("ArrowRight")
    assert page.get_by_label("A mix, its name or a line").input_value() == "8 weak teal : 4 strong teal"


def test_too_much_of_one_is_put_right_and_labelled(page, served):
    made, address, _ = served
    page.goto(f"{address}/pour?mix={made.dusk.id}&amount=50+ml")
    page.get_by_text("Something else went in, or from which lot").click()
    page.get_by_label("Really, strong teal").fill("20 ml")
    with page.expect_navigation():
        page.get_by_role("button", name="Poured: keep this cup").click()
    assert "Off its mix: strong teal" in page.locator("main").inner_text()
    page.locator(".ticks .tick", has_text="40 ml violet dye").get_by_role("checkbox").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Added: the new cup takes this one whole").click()
    assert "100 ml left" in page.locator("main").inner_text()
    with page.expect_navigation():
        page.get_by_role("button", name="US fl oz and oz beside").click()
    assert "100 ml (3.38 US fl oz) left" in page.locator("main").inner_text()
    with page.expect_navigation():
        page.get_by_role("button", name="Metric only").click()
    with page.expect_navigation():
        page.get_by_role("link", name="Its label").click()
    assert page.get_by_role("img", name="Square with the code").is_visible()
    page.emulate_media(media="print")
    assert not page.locator("nav").is_visible() and page.locator(".label").is_visible()
    with page.expect_download() as told:
        page.emulate_media(media="screen")
        page.get_by_role("button", name="Label as a file").click()
    page.wait_for_load_state()
    assert told.value.suggested_filename.endswith(".pdf")
