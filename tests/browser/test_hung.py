import pytest

pytestmark = pytest.mark.browser


def order(page):
    return page.locator(".by-hand .grip").all_inner_texts()


def kept(page):
    """The order as the server has it."""
    page.reload()
    return order(page)


@pytest.fixture
def wall(page, served):
    page.goto(f"{served[1]}/look?order=hand")
    page.locator(".by-hand").wait_for()
    return page


def test_a_piece_is_carried_by_its_tape(wall):
    before = order(wall)
    wall.locator(".by-hand .grip").nth(0).scroll_into_view_if_needed()
    start = wall.locator(".by-hand .grip").nth(0).bounding_box()
    end = wall.locator(".by-hand [data-piece]").nth(2).bounding_box()
    wall.mouse.move(start["x"] + 8, start["y"] + 8)
    wall.mouse.down()
    wall.mouse.move(end["x"] + end["width"] / 2, end["y"] + 40, steps=8)
    with wall.expect_response(lambda reply: reply.request.method == "POST"):
        wall.mouse.up()
    after = order(wall)
    assert after != before and sorted(after) == sorted(before) and after.index(before[0]) == 2
    wall.get_by_text(f"{before[0]} hangs at place 3.").wait_for(state="attached")
    assert kept(wall) == after


def test_a_piece_is_moved_by_keyboard_and_told_to_who_listens(wall):
    before = order(wall)
    wall.get_by_role("button", name=f"{before[0]} one place on").focus()
    with wall.expect_response(lambda reply: reply.request.method == "POST"):
        wall.keyboard.press("Enter")
    assert order(wall) == [before[1], before[0], *before[2:]]
    wall.get_by_text(f"{before[0]} hangs at place 2.").wait_for(state="attached")
    assert wall.evaluate("document.activeElement.value").endswith(" 1")
    assert kept(wall) == [before[1], before[0], *before[2:]]


def test_places_are_written_without_scripts(chromium, served):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served[2])
    page.goto(f"{served[1]}/look?order=hand")
    before = order(page)
    page.get_by_label(f"Place of {before[-1]}", exact=True).fill("1")
    with page.expect_navigation():
        page.get_by_role("button", name="Hang them at the places written").click()
    assert order(page) == [before[-1], *before[:-1]]
    with page.expect_navigation():
        page.get_by_role("button", name=f"{before[0]} one place back").click()
    assert order(page) == [before[0], before[-1], *before[1:-1]]
    context.close()


def test_two_picked_are_compared_and_the_button_follows(page, served):
    page.goto(f"{served[1]}/look")
    page.get_by_label("compare KF-1").check()
    page.get_by_label("compare KF-2").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Compare the two picked").click()
    assert page.locator("h1").inner_text().startswith("KF-")
    assert page.locator(".touching").first.bounding_box()["width"] > 600
