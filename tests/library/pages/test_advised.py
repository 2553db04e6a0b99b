"""Nobody at a page is told to type a command."""

import ast
import html
import pathlib
import re

import pytest

import sprayout_core
import sprayout_library
from sprayout_library.hub.pages.advice import advice

COMMAND = re.compile(r"\bsprayout (?!(?:to|first|wrote|speaks|itself)\b)[a-z]|(?<![\w-])--[a-z]")
ROOM = pathlib.Path(sprayout_library.__file__).parent


def strings():
    """Every text of the source with a command or an option in it, names in it as X; commands' own are left out."""
    for root in (ROOM, pathlib.Path(sprayout_core.__file__).parent):
        for path in sorted(root.rglob("*.py")):
            if "cli" not in path.relative_to(root).parts:
                yield from texts(ast.parse(path.read_text(encoding="utf-8")))


def texts(tree):
    inside = {part for one in ast.walk(tree) if isinstance(one, ast.JoinedStr) for part in one.values}
    for one in ast.walk(tree):
        if isinstance(one, ast.JoinedStr):
            yield "".join(part.value if isinstance(part, ast.Constant) else "X" for part in one.values)
        elif isinstance(one, ast.Constant) and isinstance(one.value, str) and one not in inside:
            yield one.value


def test_no_advice_of_any_room_reaches_a_page_with_a_command():
    named = [text for text in strings() if COMMAND.search(text)]
    assert len(named) > 80
    for text in named:
        assert not COMMAND.search(advice(text).words), text


@pytest.mark.parametrize(
    ("text", "words", "pages"),
    [
        ("Take its readings in: sprayout import FILE.csv, or a card.", "Take its readings in.", ["/look/readings"]),
        ("Say how many are wanted: --coats 4", "Say how many are wanted.", []),
        ("Record it (sprayout material NAME --density G/ML), or say everything in one measure.",
         "Record it, or say everything in one measure.", ["/mix"]),
        ("Make it: sprayout standard \"X\" PANEL. Or say --toward PANEL.", "Make it.", []),
        ("See `sprayout list`.", "", ["/find"]),
        ("Spray a step card (--steps 0,1,2,4) and read each step.", "Spray a step card and read each step.", []),
        ("A newer sprayout wrote it: update this one.", "A newer sprayout wrote it: update this one.", []),
        ("Measured at 45:0 - and at d:8.", "Measured at 45:0 - and at d:8.", []),
    ],
)  # fmt: skip
def test_a_command_becomes_the_page_that_does_it_or_nothing(text, words, pages):
    told = advice(text)
    assert (told.words, [where for where, _ in told.pages]) == (words, pages)


def seen(reply):
    """What a person reads on a page, and what fields suggest."""
    text = re.sub(r"<(?:script|style)\b.*?</", "</", reply.text, flags=re.S)
    hints = re.findall(r'(?:placeholder|title|aria-label)="([^"]*)"', text)
    return html.unescape(" ".join([re.sub(r"<[^>]*>", " ", text), *hints]))


def addresses(made):
    pieces, things = list(made.panels.values()), [made.kelp, made.bodied, made.dusk, made.kelp_fade, made.dusk_fade]
    yield from ("/", "/mix", "/pour", "/spray", "/spray/new", "/look", "/look/grid", "/look/reach", "/look/pictures")
    yield from ("/look/stock", "/look/stock?over=nothing", "/look/card", "/look/readings", "/find?near=nothing")
    yield from ("/look/grid?mix=cats", "/look/grid?mix=1+weak+teal&coats=2", "/look/reach?near=cats", "/share/answers")
    yield from ("/look/reach?target=DV-2", "/find?near=DV-2", "/share?check=yes", f"/share/answers/{made.kelp.id}")
    yield from (f"/pour/cup/{made.cup.id}{more}" for more in ("", "?wanted=9+cats", "?holds=1+ml", "?step=2g"))
    for one in (*pieces, *things, made.cup):
        yield from (f"/thing/{one.id}{more}" for more in ("", "/coats", "/missed", "/repair", "/label"))
        yield from (f"/thing/{one.id}/coats?lab=50+0+0", f"/thing/{one.id}/repair?coats=2")
    for one in pieces:
        yield from (
            f"/thing/{made.dusk_fade.id}/coats?piece={one.id}",
            f"/thing/{one.id}/missed?against={pieces[0].id}",
        )
    yield from (f"/thing/{ground}/bottle?new={pieces[0].id}" for ground in made.grounds)
    yield from (f"/pour?mix={made.bodied.id}&amount={amount}" for amount in ("99+ml", "10+g", "cats"))


def test_no_page_names_a_command(visitor, made):
    told = 0
    for path in addresses(made):
        reply = visitor.get(path)
        assert reply.status_code < 500, path
        found = COMMAND.search(seen(reply))
        assert not found, (path, seen(reply)[found.start() - 80 : found.end() + 80])
        told += 'role="alert"' in reply.text
    assert told > 15  # refusals were among them


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/mix", {"do": "mix", "line": "A = 1 nothing : 2 weak teal"}),
        ("/mix", {"do": "recipe", "title": "New", "over": "nowhere", "coats": "5 nothing", "clear": "none"}),
        ("/mix", {"do": "recipe", "title": "New", "over": "bronze", "coats": "5 Dusk violet", "clear": "matt"}),
        ("/mix", {"do": "material", "name": "", "role": "dye"}),
        ("/pour", {"mix": "DUSK", "amount": "50 g"}),
        ("/pour", {"mix": "KELP", "amount": "50 ml"}),
        ("/spray/new", {"recipe": "FADE"}),
        ("/spray/new", {"recipe": "FADE", "cup": "CUP"}),
        ("/spray/new", {"recipe": "FADE", "pieces": "K1 over nowhere"}),
        ("/pour/cup/CUP", {"do": "take", "take": "cats"}),
        ("/pour/cup/CUP", {"do": "added"}),
        ("/look/readings", {"do": "take"}),
        ("/look/card", {"do": "take"}),
        ("/begin", {}),
    ],
)
def test_no_refusal_names_a_command(own, built, path, fields):
    visitor, _ = own
    ids = {"DUSK": built.dusk.id, "KELP": built.bodied.id, "FADE": built.kelp_fade.id, "CUP": built.cup.id}
    reply = visitor.fill(path.replace("CUP", built.cup.id), {key: ids.get(one, one) for key, one in fields.items()})
    assert reply.status_code < 500
    assert not COMMAND.search(seen(reply)), seen(reply)


def test_a_refusal_leads_to_the_page_that_helps(visitor, made):
    reply = visitor.get(f"/thing/{made.panels['KF-2'].id}/missed")
    assert "Nothing can be learned from KF-2" in reply.text
    assert 'Measure it. <a href="/look/readings">Take a table of readings in</a>' in reply.text
