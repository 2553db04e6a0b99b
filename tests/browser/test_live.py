"""What another command does while a page is open appears on it, in a real browser."""

import os
import subprocess
import sys

import pytest
from tests.library.pages_shop import spectrum, table

pytestmark = pytest.mark.browser


def command(made, *words):
    code = "from sprayout_library.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "--library", str(made.folder), *map(str, words)], capture_output=True, text=True,
        timeout=120, env=dict(os.environ), check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


def import_of(made, folder, piece, height):
    export = folder / "june.csv"
    export.write_bytes(table([(piece, spectrum(height, 440))]))
    told = [part for option in ("scale=percent", "geometry=45:0", "stage=bare") for part in ("--set", option)]
    command(made, "import", export, *told, "--yes")


def test_a_piece_measured_by_a_command_appears_without_a_reload(page, served, tmp_path):
    made, address, _ = served
    page.goto(f"{address}/thing/{made.panels['DV-2'].id}")
    page.evaluate("window.never = 'reloaded'")
    before = page.locator("main").inner_html()
    import_of(made, tmp_path, "DV-2", 0.3)
    page.get_by_text("New: 1 reading").wait_for()
    assert page.locator("main").inner_html() != before
    assert page.evaluate("window.never") == "reloaded"


def test_what_somebody_is_writing_stays_under_their_hands(page, served, tmp_path):
    made, address, _ = served
    page.goto(f"{address}/mix")
    field = page.locator("main input[name=line]")
    field.fill("Half a thou")
    command(made, "material", "reed green", "--role", "dye")
    page.get_by_text("New: 1 material").wait_for()
    assert field.input_value() == "Half a thou"
    page.get_by_role("button", name="Show it").wait_for()


def test_without_the_stream_a_page_is_the_same_page(chromium, served, tmp_path):
    made, address, secret = served
    context = chromium.new_context()
    page = context.new_page()
    page.route("**/live?*", lambda route: route.abort())
    page.goto(secret)
    page.goto(f"{address}/find?words=bracken")
    command(made, "material", "bracken brown", "--role", "dye")
    page.reload()
    assert page.get_by_text("bracken brown").count()
    context.close()
