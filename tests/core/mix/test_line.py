import unicodedata
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sprayout_core.mix.line import Line, LineError, Part, parse_line, read_back
from sprayout_core.ratio import decimal_text


def told(line):
    return [(part.amount, part.name) for part in line.parts]


TEAL = [(5, "weak teal"), (2, "strong teal")]


@pytest.mark.parametrize(
    "text",
    [
        "5 weak teal : 2 strong teal",
        "5 weak teal:2 strong teal",
        "weak teal 5, strong teal 2",
        "weak teal 5 ; 2 strong teal",
        "  5   weak  teal + 2 strong teal ",
        "5.0 weak teal : 2.00 strong teal",
        "10/2 weak teal : 2 strong teal",
        "5 “weak teal” ∶ 2 strong\u00a0teal",
        '5 "weak teal" : "strong teal" 2',
        "5 parts weak teal : 2 parts of strong teal",
        "weak teal 5 parts, strong teal 2 parts",
    ],
)
def test_many_ways_to_say_one_mix(text):
    assert told(parse_line(text)) == TEAL


def test_title_and_basis():
    line = parse_line("Kelp glass = 5 weak teal : 2 strong teal by volume")
    assert (line.title, line.basis) == ("Kelp glass", "volume")
    assert parse_line("5 weak teal : 2 strong teal by weight").basis == "mass"
    assert parse_line("5 weak teal : 2 strong teal").basis is None


def test_grams_per_litre_stand_outside_the_ratio():
    line = parse_line("5 weak teal : 2 strong teal, 12 g/l silver pearl")
    assert line.parts[2] == Part(Fraction(12), "12", "silver pearl", "g/l")
    assert parse_line("5 weak teal : 2 strong teal, silver pearl 12g/L").parts[2] == line.parts[2]


def test_decimal_comma_and_quotient():
    assert told(parse_line("2,5 weak teal : 1/3 strong teal")) == [
        (Fraction(5, 2), "weak teal"),
        (Fraction(1, 3), "strong teal"),
    ]


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("5:2:1", 1, "which is which"),
        ("Kelp = 5:2", 8, "which is which"),
        ("weak teal : strong teal 5:2", 27, "which is which"),
        ("5", 1, "no name"),
        ("", 1, "no parts"),
        ("Kelp =", 7, "no parts"),
        ("= 5 weak teal", 1, "no name before the ="),
        ("a = b = 5 weak teal", 7, "second ="),
        ("42 = 5 weak teal", 1, "no name for a mix"),
        ("5 weak teal : strong teal", 15, "no number"),
        ("5weak teal : 2 strong teal", 1, "no number"),
        ("5 weak teal 2 strong teal", 13, "second number"),
        ("5 teal 42 : 2 strong teal", 8, "second number"),
        ("weak teal 5 strong teal : 2 pearl", 11, "both sides"),
        ("5 weak teal / 2 strong teal", 13, "parts nothing"),
        ("5 weak teal :: 2 strong teal", 14, "nothing stands before"),
        ("5 weak teal : 2 strong teal,", 28, "nothing stands after"),
        ("0 weak teal : 2 strong teal", 1, "is nothing"),
        ("-5 weak teal : 2 strong teal", 1, "less than nothing"),
        ("5 weak teal : 1/0 strong teal", 15, "divides by nothing"),
        ("1.2.3 weak teal : 2 strong teal", 1, "not a number"),
        ("1234567890123456 weak teal", 1, "digits"),
        ("5 weak teal : 2 Weak Teal", 17, "twice"),
        ('5 "42" : 2 strong teal', 3, "looks like a number"),
        ("5 ½ : 2 strong teal", 3, "looks like a number"),
        ("5 1e3 : 2 strong teal", 3, "looks like a number"),
        ("5 ml weak teal : 2 ml strong teal", 3, "reads as a unit"),
        ("5 x weak teal : 2 strong teal", 3, "parts nothing"),
        ("5 % weak teal : 2 strong teal", 3, "reads as a unit"),
        ('5 "weak teal : 2 strong teal', 3, "never closed"),
        ("5 weak teal by volume : 2 strong teal", 16, "reads as a basis"),
        ("5 weak teal : 2 strong teal by vol.", 32, "reads as a basis"),
        ("5 weak teal : 12 pearl per litre", 28, "reads as a basis"),
        ("5 parts : 2 strong teal", 1, "which is which"),
        ("12 g/l silver pearl", 4, "no liquid part"),
        ("5 weak teal : 12 g/l silver pearl by mass", 18, "by mass"),
        ("5 weak teal : 12 silver pearl g/l", 31, "away from its number"),
        ("2,5 weak teal : 1.5 strong teal", 2, "decimal comma"),
    ],
)
def test_refusals_say_where_and_what_to_do(text, place, says):
    with pytest.raises(LineError) as refused:
        parse_line(text)
    fault = refused.value.fault
    assert says in fault.problem
    assert fault.remedy
    assert refused.value.position == place
    assert fault.place == f"character {place}"


def test_a_comma_that_may_part_thousands_is_refused_with_both_readings():
    with pytest.raises(LineError) as refused:
        parse_line("1,500 weak teal : 2 strong teal")
    assert refused.value.readings == ("1.500", "1500")
    assert "1.500" in str(refused.value) and "1500" in str(refused.value)


def test_a_comma_that_may_part_two_components_is_refused_with_both_readings():
    with pytest.raises(LineError) as refused:
        parse_line("weak teal 5,2 strong teal")
    assert refused.value.readings == ("5.2", "5 weak teal : 2 strong teal")


# Common practice, no source: a three-part ratio told in another order changes dye to pearl from 2:1 to 4:1.
def test_a_bare_three_part_ratio_is_refused_since_order_changes_dye_to_pearl():
    with pytest.raises(LineError) as refused:
        parse_line("4:2:1")
    assert "which is which" in str(refused.value)
    assert "2:1" in str(refused.value) and "4:1" in str(refused.value)


numbers = st.fractions(min_value="1/1000", max_value=10_000, max_denominator=1000).map(
    lambda value: (value, decimal_text(value))
)
names = (
    st.text(
        st.one_of(
            st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")),
            st.sampled_from('ab 5,:;="/+-2k“”½ %'),
        ),
        min_size=1,
        max_size=12,
    )
    .map(lambda text: text.translate(str.maketrans("“”„∶−\u00a0\u202f", '""":-  ')))
    .map(lambda text: " ".join(unicodedata.normalize("NFC", text).split()))
    .filter(lambda text: any(unicodedata.category(sign)[0] == "L" for sign in text))
    .filter(lambda text: not text[:1].isdigit() or "e" not in text.lower())
)


@st.composite
def lines(draw):
    named = draw(st.lists(names, min_size=1, max_size=4, unique_by=str.casefold))
    parts = tuple(Part(*draw(numbers), name) for name in named)
    basis = draw(st.sampled_from([None, "volume", "mass"]))
    if len(parts) > 1 and basis != "mass" and draw(st.booleans()):
        last = parts[-1]
        parts = (*parts[:-1], Part(last.amount, last.as_typed, last.name, "g/l"))
    return Line(draw(st.none() | names), basis, parts)


@given(lines())
@example(Line("by volume", None, (Part(Fraction(1), "1", "a by volume"), Part(Fraction(2), "2", "parts, 2k = b"))))
@example(Line(None, None, (Part(Fraction(1), "1", "parts of teal"), Part(Fraction(2), "2", "of"))))
@example(Line('a "b" = c', "mass", (Part(Fraction(1), "1", 'say "5 a : 2 b"'),)))
def test_what_is_read_back_reads_as_the_same_line(line):
    assert parse_line(read_back(line)) == line


@given(st.text(st.sampled_from('5 2,.:;=+-/"ab g l%by mass'), max_size=30))
def test_any_line_is_read_or_refused_with_place_and_remedy(text):
    try:
        line = parse_line(text)
    except LineError as error:
        assert 1 <= error.position <= len(text) + 1
        assert error.fault.remedy
    else:
        assert parse_line(read_back(line)) == line
