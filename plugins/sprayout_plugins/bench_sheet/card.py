"""The bench card: the sheet as one HTML file for a phone, without server, network or need for scripts."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator
from functools import cache
from html import escape
from importlib.resources import files
from itertools import count

from sprayout_core.sheet import (
    DEFER,
    BenchSheet,
    CautionBlock,
    Code,
    MixPart,
    PourLine,
    Step,
    TwoAnswers,
    told,
)

__all__ = ["card_html"]


def card_html(sheet: BenchSheet) -> str:
    """Return the card as one self-contained page; the same sheet gives the same text.

    Ticks and written amounts work without scripts; where scripts may run they are kept on the device, under
    the code of this exact version. The page asks for nothing from outside, and its own policy forbids it.
    """
    style, script = _asset("card.css"), _asset("card.js")
    policy = (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    body = "\n".join(_body(sheet))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n<meta name="referrer" content="no-referrer">\n'
        f"<title>{escape(sheet.title)}</title>\n<style>{style}</style>\n</head>\n"
        f'<body data-code="{escape(sheet.code.text)}">\n{body}\n<script>{script}</script>\n</body>\n</html>\n'
    )


def _body(sheet: BenchSheet) -> Iterator[str]:
    numbers = count(1)
    facts = " · ".join(fact for fact in (sheet.version, sheet.status, sheet.shop, sheet.printed) if fact)
    yield f"<header>{_said('h1', sheet.title)}{_said('p', facts, 'facts')}</header>\n<main>"
    yield from (_said("p", f"Not found here: {name}", "warning") for name in sheet.missing)
    yield from _questions(sheet.open_questions())
    for mix in sheet.mixes:
        yield from _mix(mix, numbers)
    if sheet.steps:
        yield "<section><h2>Coats</h2>"
        yield from (_tick(numbers, f"over {ground}") for ground in sheet.grounds)
        for place, step in enumerate(sheet.steps, start=1):
            yield from _step(place, step, sheet.pieces, numbers)
        yield "</section>"
    yield from _cautions(sheet.cautions)
    if sheet.notes:
        yield "<section><h2>Notes</h2>" + "".join(_said("p", note) for note in sheet.notes) + "</section>"
    yield f"<details><summary>Read back in one breath</summary>{_said('p', told(sheet))}</details>"
    yield f'<section class="code">{_picture(sheet.code)}<p class="facts">{escape(sheet.code.short)}<br>'
    yield f"<code>{escape(sheet.code.text)}</code></p></section>\n</main>"
    yield '<footer hidden id="tools"><p id="kept"></p>'
    yield '<button type="button" id="clear">Clear my ticks</button></footer>'


def _questions(questions: tuple[TwoAnswers, ...]) -> Iterator[str]:
    if not questions:
        return
    yield '<section class="open"><h2>Two answers open</h2><p>Choose before spraying.</p>'
    for question in questions:
        yield _said("h3", question.about) + "<ul>"
        yield from (
            f"<li><strong dir=auto>{escape(answer.by)}</strong>: <bdi>{escape(answer.says)}</bdi></li>"
            for answer in question.answers
        )
        yield "</ul>"
    yield "</section>"


def _mix(mix: MixPart, numbers: Iterator[int]) -> Iterator[str]:
    yield f"<section>{_said('h2', mix.title)}"
    yield _said("p", " · ".join(fact for fact in (mix.version, mix.status) if fact), "facts")
    yield _said("p", mix.warning, "warning")
    if mix.ratio:
        yield _said("p", mix.ratio.glued(), "ratio")
    else:
        yield _said("p", "Its ratio has two answers: nothing to pour until one is chosen.", "warning")
    yield _said("p", f"Body: {mix.body}" if mix.body else "")
    yield _said("p", f"Pour into: {mix.cup}" if mix.cup and mix.pours else "")
    yield from (_pour(line, numbers) for line in mix.pours)
    yield _said("p", f"Total {mix.total}" if mix.total else "", "ratio")
    yield from (_tick(numbers, variant.gun, " · ".join(variant.facts())) for variant in mix.spray_ready)
    yield "</section>"


def _pour(line: PourLine, numbers: Iterator[int]) -> str:
    amount = f"{line.amount} {line.unit}"
    below = [f"up to {line.total} {line.unit}"] if line.total else []
    below += [f"strain {line.strain}"] if line.strain else []
    below += [f"lot {line.lot}"] if line.lot else []
    warning = f'<span class="warning" dir="auto">{escape(line.warning)}</span>' if line.warning else ""
    number = next(numbers)
    return (
        f'<div class="pour"><label class="tick"><input type="checkbox" id="t{number}"><span class="what">'
        f'<strong dir="auto">{escape(line.name)}</strong>{_said("span", " · ".join(below))}{warning}'
        f'</span><span class="amount">{escape(amount)}</span></label>'
        f'<label class="really"><span>really poured, {escape(line.unit)}</span>'
        f'<input type="text" inputmode="decimal" autocomplete="off" id="t{number}p" '
        f'aria-label="really poured of {escape(line.name)}, {escape(line.unit)}"></label></div>'
    )


def _step(place: int, step: Step, pieces: tuple[str, ...], numbers: Iterator[int]) -> Iterator[str]:
    yield _said("h3", f"{place}. {step.what if step.two_answers else step.said()}")
    facts = [step.role, step.version, step.gun, step.laid and f"laid {step.laid}"]
    facts += [step.film and f"{step.film} a coat", step.dry and f"{step.dry} between coats"]
    yield _said("p", " · ".join(fact for fact in facts if fact), "facts")
    if step.two_answers:
        yield _said("p", f"Two answers, choose one: {step.two_answers}", "warning")
        return
    asked = step.tick_boxes()
    for piece in pieces or ("",):
        yield f'<div class="piece">{_said("p", piece, "name")}<div class="coats">'
        for coat in range(1, asked.sure + asked.maybe + 1):
            kind = "coat" if coat <= asked.sure else "coat maybe"
            name = " ".join(text for text in (piece, step.what, "coat", str(coat)) if text)
            yield (
                f'<label class="{kind}"><input type="checkbox" id="t{next(numbers)}" '
                f'aria-label="{escape(name)}"><span>{coat}</span></label>'
            )
        yield "</div></div>"
    if asked.maybe:
        yield _said("p", "Dashed: only if it needs them. Look before each one.", "facts")


def _cautions(cautions: Iterable[CautionBlock]) -> Iterator[str]:
    yield '<section class="cautions"><h2>Cautions</h2>'
    for caution in cautions:
        by = f" ({', '.join(caution.carried_by)})" if caution.carried_by not in ((), (caution.about,)) else ""
        yield _said("h3", caution.about + by)
        yield from (_said("p", sentence) for sentence in caution.sentences)
    yield _said("p", DEFER, "defer") + "</section>"


def _tick(numbers: Iterator[int], text: str, below: str = "") -> str:
    return (
        f'<label class="tick"><input type="checkbox" id="t{next(numbers)}"><span class="what">'
        f'<strong dir="auto">{escape(text)}</strong>{_said("span", below)}</span></label>'
    )


def _said(element: str, text: str, kind: str = "") -> str:
    """Return an element with a text in its own direction, or nothing for no text."""
    if not text:
        return ""
    name = f' class="{kind}"' if kind else ""
    return f'<{element}{name} dir="auto">{escape(text)}</{element}>'


def _picture(code: Code) -> str:
    """Return the code as inline SVG: one path of squares, dark on light in both colour schemes."""
    import segno

    rows = segno.make_qr(code.qr_text, error="m").matrix
    path = "".join(f"M{x + 4} {y + 4}h1v1h-1z" for y, line in enumerate(rows) for x, dark in enumerate(line) if dark)
    side = len(rows) + 8
    return (
        f'<svg viewBox="0 0 {side} {side}" role="img" aria-label="code of this version" '
        f'shape-rendering="crispEdges"><rect width="{side}" height="{side}" fill="#fff"/>'
        f'<path fill="#000" d="{path}"/></svg>'
    )


@cache
def _asset(name: str) -> str:
    return files("sprayout_plugins.bench_sheet").joinpath(name).read_text("utf-8").replace("\r\n", "\n")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
