import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import Code, DamagedCodeError, ForeignCodeError, code_for, parse_code

LIBRARY = "0193aa10-2c3d-7e4f-8a5b-6c7d8e9f0a1b"
DOCUMENT = "0193aa11-0000-7abc-9def-0123456789ab"
DIGEST = "c0ffee1234567890" + "ab" * 24

codes = st.builds(
    Code,
    library=st.text("0123456789abcdef", min_size=8, max_size=8),
    document=st.uuids().map(str),
    digest=st.text("0123456789abcdef", min_size=16, max_size=16),
)


def test_code_of_a_version():
    code = code_for(LIBRARY, DOCUMENT, DIGEST)
    assert code.text == "sprayout:8e9f0a1b/0193aa11-0000-7abc-9def-0123456789ab/c0ffee1234567890"
    assert code_for(LIBRARY, DOCUMENT, "sha256:" + DIGEST) == code


@given(codes)
def test_every_code_reads_back(code):
    assert parse_code(code.text) == code
    assert parse_code(f"  {code.qr_text}\r\n") == code


@given(codes)
def test_qr_text_stays_within_the_alphanumeric_mode(code):
    # ISO/IEC 18004, alphanumeric mode: 0-9 A-Z space $ % * + - . / :
    assert set(code.qr_text) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


@given(codes, st.data())
def test_a_cut_code_is_never_taken(code, data):
    length = data.draw(st.integers(0, len(code.text) - 1))
    with pytest.raises((DamagedCodeError, ForeignCodeError)):
        parse_code(code.text[:length])


@pytest.mark.parametrize("text", ["", "https://example.org/x", "4006381333931", "sprayout", "spray:1/2/3"])
def test_other_codes_are_foreign(text):
    with pytest.raises(ForeignCodeError, match="is not a code of a sheet, cup or panel"):
        parse_code(text)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("sprayout:8e9f0a1b/" + DOCUMENT, "code"),
        ("sprayout:8e9f0a1/" + DOCUMENT + "/c0ffee1234567890", "code/library"),
        ("sprayout:8e9f0a1b/" + DOCUMENT.replace("-", "") + "/c0ffee1234567890", "code/document"),
        ("sprayout:8e9f0a1b/" + DOCUMENT + "/c0ffee123456789g", "code/digest"),
        ("sprayout:8e9f0a1b/" + DOCUMENT + "/c0ffee1234567890/", "code"),
    ],
)
def test_a_damaged_code_says_which_part(text, place):
    with pytest.raises(DamagedCodeError) as caught:
        parse_code(text)
    assert caught.value.fault.place == place


@given(st.text())
def test_any_text_gives_a_code_or_our_own_error(text):
    try:
        parse_code(text)
    except SprayoutError as error:
        assert error.fault.remedy
