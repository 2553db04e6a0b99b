import base64
import dataclasses
import hashlib
import os
import re
import shutil
import subprocess
from html.parser import HTMLParser

import numpy as np
import pytest
import zxingcpp

from sprayout_core.sheet import DEFER, parse_code, told
from sprayout_plugins.bench_sheet import card_html

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')


class Elements(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.found, self.text = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text.append(data)


def shown(text):
    return " ".join("".join(Elements(text).text).split())


def test_nothing_is_asked_from_outside(sheet):
    card = card_html(sheet)
    for tag, attributes in Elements(card).found:
        assert tag not in {"link", "img", "iframe", "object", "embed", "form", "a", "base", "audio", "video"}
        assert not {"src", "href", "srcset", "action", "style", "onclick"} & set(attributes)
    assert "http:" not in card
    assert "https:" not in card
    assert "url(" not in card
    assert "@import" not in card
    assert POLICY.search(card)[1].startswith("default-src 'none'")


def test_the_policy_allows_this_style_and_this_script_only(sheet):
    card = card_html(sheet)
    for element in ("style", "script"):
        (content,) = re.findall(f"<{element}>(.*?)</{element}>", card, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
        assert f"{element}-src 'sha256-{digest}'" in POLICY.search(card)[1]


def test_names_cannot_become_markup(sheet, mix):
    evil = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    hostile = dataclasses.replace(
        sheet,
        title=evil,
        notes=(evil,),
        shop=evil,
        pieces=(evil,),
        mixes=(dataclasses.replace(mix, title=evil, cup=evil, body=evil),),
    )
    card = card_html(hostile)
    tags = [tag for tag, _ in Elements(card).found]
    assert tags.count("script") == 1
    assert "img" not in tags
    assert evil in "".join(Elements(card).text)


def test_every_box_has_an_id_of_its_own_and_a_label(sheet):
    card = card_html(dataclasses.replace(sheet, pieces=("head tube", "fork")))
    fields = [attributes for tag, attributes in Elements(card).found if tag == "input"]
    assert len({field["id"] for field in fields}) == len(fields)
    coats = [field["aria-label"] for field in fields if field["type"] == "checkbox" and "aria-label" in field]
    assert len(coats) == 2 * (8 + 7 + 2)
    assert "fork Kelp glass coat 5" in coats
    assert [field["aria-label"] for field in fields if field["type"] == "text"] == [
        "really poured of weak teal, ml",
        "really poured of moss dye, ml",
    ]


def test_the_card_says_what_the_record_says(sheet):
    said = shown(card_html(sheet))
    for text in (
        told(sheet),
        DEFER,
        "9 weak teal : 4 moss dye (by volume)",
        "up to 130 ml",
        "lot B-2291",
        "40 ml",
    ):
        assert text in said


def test_two_answers_are_marked(sheet, mix, question):
    open_mix = dataclasses.replace(mix, ratio=None, pours=(), two_answers=(question,))
    said = shown(card_html(dataclasses.replace(sheet, mixes=(open_mix,))))
    assert "Two answers open" in said
    assert "Quay: 9 weak teal : 5 moss dye" in said
    assert "Pour into" not in said
    assert "Two answers open" not in shown(card_html(sheet))


def test_a_warning_of_a_mix_is_shown(sheet, mix):
    warned = dataclasses.replace(sheet, mixes=(dataclasses.replace(mix, warning="Do not pour from this."),))
    assert "Do not pour from this." in shown(card_html(warned))


def test_the_code_on_the_card_is_read_back(sheet):
    card = card_html(sheet)
    side = int(re.search(r'viewBox="0 0 (\d+) ', card)[1])
    squares = np.full((side, side), 255, np.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", card):
        squares[int(y), int(x)] = 0
    (found,) = zxingcpp.read_barcodes(np.kron(squares, np.ones((4, 4), np.uint8)))
    assert parse_code(found.text) == sheet.code


def test_same_sheet_same_text(sheet):
    assert card_html(sheet) == card_html(sheet)


@pytest.fixture
def browse(tmp_path):
    if CHROMIUM is None:
        pytest.skip("browser tests: not run, no Chromium")

    def page(text):
        (tmp_path / "card.html").write_text(text, encoding="utf-8")
        command = [
            CHROMIUM,
            "--headless",
            "--disable-gpu",
            f"--user-data-dir={tmp_path / 'profile'}",
        ]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.append("--no-sandbox")
        command += ["--dump-dom", (tmp_path / "card.html").as_uri()]
        return subprocess.run(command, capture_output=True, check=True, timeout=180, text=True).stdout

    return page


@pytest.mark.browser
def test_ticks_and_amounts_are_kept_where_scripts_run(sheet, browse):
    card = card_html(sheet)
    (script,) = re.findall("<script>(.*?)</script>", card, re.DOTALL)
    use = (
        "<script>var t = document.getElementById('t1'), p = document.getElementById('t1p');"
        "t.click(); p.value = '91.5'; p.dispatchEvent(new Event('input', {bubbles: true}));"
        "t.checked = false; p.value = '';</script>"  # as after a reload
    )
    tell = "<script>document.title = [t.checked, p.value, t2.checked].join();</script>"
    changed = POLICY.sub("", card).replace("</body>", f"{use}<script>{script}</script>{tell}</body>")
    assert "<title>true,91.5,false</title>" in browse(changed)


@pytest.mark.browser
def test_the_script_runs_under_the_cards_own_policy(sheet, browse):
    assert '<footer id="tools">' in browse(card_html(sheet))


@pytest.mark.browser
def test_where_its_script_is_refused_the_card_is_whole_and_promises_nothing(sheet, browse):
    seen = browse(card_html(sheet).replace('"use strict"', '"use strict" '))  # so the policy refuses it
    assert '<footer hidden="" id="tools">' in seen
    assert 'id="t1p"' in seen
