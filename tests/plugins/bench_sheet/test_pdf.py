import dataclasses
import os
import subprocess
import sys

import pypdfium2
import pytest
import zxingcpp

from sprayout_core.sheet import DEFER, PourLine, Step, parse_code
from sprayout_plugins.bench_sheet import Paper, sheet_pdf
from sprayout_plugins.bench_sheet.pages import Pages

LETTERS = "Ž ΑΒΓ ЖЮ ễ → ≥ µ"


def pages_of(content):
    return list(pypdfium2.PdfDocument(content))


def text_of(content):
    return "\n".join(page.get_textpage().get_text_bounded() for page in pages_of(content))


def flat(text):
    return " ".join(text.split())


def glyph_boxes(page):
    text = page.get_textpage()
    return [text.get_charbox(place) for place in range(text.count_chars())]


@pytest.mark.parametrize("paper", Paper)
def test_the_code_is_read_back_from_the_printed_page(sheet, paper):
    image = pages_of(sheet_pdf(sheet, paper))[0].render(scale=300 / 72).to_pil()
    (found,) = zxingcpp.read_barcodes(image)
    assert parse_code(found.text) == sheet.code


@pytest.mark.parametrize("paper", Paper)
def test_the_page_has_the_size_of_its_paper(sheet, paper):
    for page in pages_of(sheet_pdf(sheet, paper)):
        assert page.get_size() == pytest.approx(paper.value, abs=0.01)


def test_everything_of_the_record_is_on_the_page(sheet, mix):
    said = flat(text_of(sheet_pdf(sheet, Paper.A4)))
    wanted = [
        "Kelp glass over silver",
        "version 3, 12 March, sprayed",
        "9 weak teal : 4 moss dye (by volume)",
        "Pour into: 600 ml cup",
        "90 ml",
        "130 ml",
        "strain at the pour 160 µm (",
        "B-2291",
        "Below what this scale resolves.",
        "Body: falls in one string",
        "reduce 8 % slow reducer, on top",
        "1.4 mm tip",
        "laid wet",
        "over fine silver (keyed ground)",
        "fine silver until covered",
        "about 5 coats of Kelp glass",
        "dry to the touch between coats",
        "2 coats of Glass clear",
        "Stains skin for weeks.",
        "The third coat is where it turns.",
        "really poured",
        DEFER,
        *(sentence for block in sheet.cautions for sentence in block.sentences),
    ]
    assert [text for text in wanted if text not in said] == []


def test_two_answers_are_marked_and_nothing_is_to_be_poured(sheet, mix, question):
    open_mix = dataclasses.replace(mix, ratio=None, pours=(), two_answers=(question,))
    said = flat(text_of(sheet_pdf(dataclasses.replace(sheet, mixes=(open_mix,)), Paper.A4)))
    assert "TWO ANSWERS OPEN" in said
    assert "ours: 9 weak teal : 4 moss dye" in said
    assert "Quay: 9 weak teal : 5 moss dye" in said
    assert "90 ml" not in said
    assert "TWO ANSWERS" not in text_of(sheet_pdf(sheet, Paper.A4))


@pytest.mark.parametrize("pieces", [(), ("head tube", "top tube", "fork")])
def test_there_is_a_box_for_every_coat_of_every_piece(sheet, pieces, monkeypatch):
    drawn = []
    monkeypatch.setattr(Pages, "box", lambda pages, x, y, side: drawn.append(("box", pages.number, x, y, side)))
    monkeypatch.setattr(
        Pages, "dashed_box", lambda pages, x, y, side: drawn.append(("dashed_box", pages.number, x, y, side))
    )
    steps = (Step("colour", "Kelp glass", "about 5"), Step("clear", "Glass clear", "40"))
    sheet_pdf(dataclasses.replace(sheet, mixes=(), grounds=(), steps=steps, pieces=pieces), Paper.A4)
    second = drawn[len(drawn) // 2 :]  # the pages are laid out twice
    rows = max(len(pieces), 1)
    assert [kind for kind, *_ in second].count("box") == (4 + 40) * rows
    assert [kind for kind, *_ in second].count("dashed_box") == 3 * rows
    assert len({box[1:4] for box in second}) == len(second)
    assert all(x + side <= Paper.A4.value[0] - 39 for _, _, x, _, side in second)


def test_same_sheet_same_bytes_in_every_process(sheet):
    here = sheet_pdf(sheet, Paper.A4)
    assert sheet_pdf(sheet, Paper.A4) == here
    program = (
        "import hashlib, pickle, sys\n"
        "from sprayout_plugins.bench_sheet import Paper, sheet_pdf\n"
        "sheet = pickle.loads(sys.stdin.buffer.read())\n"
        "sys.stdout.buffer.write(sheet_pdf(sheet, Paper.A4))\n"
    )
    import pickle

    environment = {**os.environ, "PYTHONHASHSEED": "7"}
    asked = {"input": pickle.dumps(sheet), "capture_output": True, "check": True, "env": environment}
    assert subprocess.run([sys.executable, "-c", program], **asked).stdout == here


def long_sheet(sheet, mix):
    pours = tuple(
        PourLine(f"dye {number} with a name that is far too long " * 4, "123456789.123456789", "ml", "1234567890.5")
        for number in range(30)
    )
    return dataclasses.replace(
        sheet,
        title="Überlanger Titel " * 60,
        mixes=(dataclasses.replace(mix, pours=pours, title="x" * 300, cup="cup " * 200),),
        pieces=tuple(f"piece {number} of the whole long frame set" for number in range(30)),
        notes=("wortungetüm" * 300, "zeile\n" * 120),
    )


@pytest.mark.parametrize("paper", Paper)
def test_nothing_runs_off_the_page_however_long(sheet, mix, paper):
    pages = pages_of(sheet_pdf(long_sheet(sheet, mix), paper))
    assert len(pages) > 5
    for page in pages:
        wide, high = page.get_size()
        for left, bottom, right, top in glyph_boxes(page):
            assert 39 <= left <= right <= wide - 39
            assert 30 <= bottom <= top <= high - 30


def test_many_pages_say_which_one_they_are(sheet, mix):
    pages = pages_of(sheet_pdf(long_sheet(sheet, mix), Paper.A4))
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page.get_textpage().get_text_bounded()


def test_what_is_shortened_ends_in_an_ellipsis_and_amounts_never_are(sheet, mix):
    said = text_of(sheet_pdf(long_sheet(sheet, mix), Paper.A4))
    assert "…" in said
    assert said.count("123456789.123456789 ml") == 30
    assert said.count("wortungetüm") > 100
    assert said.count("zeile") == 120


def test_letters_of_many_scripts_are_printed(sheet):
    assert LETTERS.split()[0] in text_of(sheet_pdf(dataclasses.replace(sheet, title=LETTERS), Paper.A4))
    assert "Letters this font lacks" not in text_of(sheet_pdf(dataclasses.replace(sheet, title=LETTERS), Paper.A4))


def test_letters_the_font_lacks_are_shown_as_their_numbers(sheet):
    said = flat(text_of(sheet_pdf(dataclasses.replace(sheet, title="海 glass"), Paper.A4)))
    assert "<U+6D77> glass" in said
    assert "Letters this font lacks are printed as <U+...>" in said


def test_right_to_left_words_are_owned_up_to(sheet):
    assert "Right-to-left words" in flat(text_of(sheet_pdf(dataclasses.replace(sheet, shop="שלום"), Paper.A4)))


def test_markup_and_control_marks_in_names_stay_plain_text(sheet):
    said = flat(text_of(sheet_pdf(dataclasses.replace(sheet, title="<b>Kelp</b> &amp; \x07\u202eglass"), Paper.A4)))
    assert "<b>Kelp</b> &amp; glass" in said


def test_a_warning_of_a_mix_is_printed(sheet, mix):
    warned = dataclasses.replace(sheet, mixes=(dataclasses.replace(mix, warning="Do not pour from this."),))
    assert "Do not pour from this." in text_of(sheet_pdf(warned, Paper.A4))


def test_what_was_not_found_is_said(sheet):
    said = text_of(sheet_pdf(dataclasses.replace(sheet, missing=("moss dye",)), Paper.A4))
    assert "Not found here: moss dye" in said
