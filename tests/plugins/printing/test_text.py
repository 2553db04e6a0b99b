import re

import segno
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.sheet import Code
from sprayout_plugins.printing import REGULAR, module_mm, printable, shorten, width, wrap, wrap_at_most

ROOM = 90.0
texts = st.text(max_size=80)


def letters(text):
    return re.sub(r"\s", "", text)


@given(texts)
def test_wrapping_loses_no_letter_and_keeps_to_its_room(text):
    lines = wrap(text, REGULAR, 10, ROOM)
    assert all(width(line, REGULAR, 10) <= ROOM for line in lines)
    assert letters("".join(lines)) == letters("".join(printable(line) for line in text.splitlines()))


@given(texts, st.integers(1, 4))
def test_what_is_left_out_is_marked(text, most):
    whole, kept = wrap(text, REGULAR, 10, ROOM), wrap_at_most(most, text, REGULAR, 10, ROOM)
    assert len(kept) <= most
    assert letters("".join(kept)) == letters("".join(whole)) or kept[-1].endswith("…")
    assert all(width(line, REGULAR, 10) <= ROOM for line in kept)


def test_short_lines_are_not_dropped_behind_one_another():
    assert wrap_at_most(1, "one\ntwo\nthree", REGULAR, 10, ROOM) == ["one two three"]
    assert wrap_at_most(1, "one\ntwo\n" + "three " * 20, REGULAR, 10, ROOM)[0].endswith("…")


@given(texts)
def test_shortening_keeps_what_fits(text):
    line = shorten(text, REGULAR, 10, ROOM)
    assert line == printable(text) or line.endswith("…")
    assert width(line, REGULAR, 10) <= ROOM


def test_a_number_stays_with_its_name():
    lines = wrap("9\u00a0weak teal : 4\u00a0moss dye : 6\u00a0glass carrier", REGULAR, 10, ROOM)
    assert not any(re.search(r"\d$", line) for line in lines)


def test_the_code_is_small_enough_for_its_mode():
    # ISO/IEC 18004, table of capacities: version 4-M holds 90 alphanumeric letters, 33 squares a side
    code = Code("5d0c8e2f", "0193aa11-0000-7abc-9def-0123456789ab", "c0ffee1234567890")
    symbol = segno.make_qr(code.qr_text, error="m")
    assert (symbol.version, symbol.mode) == (4, "alphanumeric")
    assert abs(module_mm(code, (33 + 8) * 72 / 25.4) - 1) < 1e-9
