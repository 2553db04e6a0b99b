"""A recipe or mix told in one breath from the record, names glued to numbers."""

from __future__ import annotations

from collections.abc import Iterable

from sprayout_core.sheet.bench import BenchSheet, Step
from sprayout_core.sheet.mixing import MixPart, PourLine, SprayReady

__all__ = ["told"]


def told(sheet: BenchSheet) -> str:
    """Return the sheet read back as one paragraph: mixes, what to pour, gun, grounds, coats, open questions.

    Nothing is told that the record does not hold; what has two answers is told as two answers.
    """
    sentences = [_head(sheet)]
    sentences += [_mix(mix) for mix in sheet.mixes]
    sentences += _schedule(sheet)
    sentences += [f"Not found here: {', '.join(sheet.missing)}"] if sheet.missing else []
    asked = [str(question) for question in sheet.open_questions()]
    if asked:
        sentences.append("Two answers are open, choose before spraying: " + "; ".join(asked))
    return " ".join(_ended(sentence) for sentence in sentences)


def _head(sheet: BenchSheet) -> str:
    return ", ".join(piece for piece in (sheet.title, sheet.version, sheet.status) if piece)


def _mix(mix: MixPart) -> str:
    unknown = f"{mix.title} has two answers, so nothing to pour yet"
    pieces = [f"{mix.title} = {mix.ratio}" if mix.ratio else unknown]
    pieces += [mix.warning.rstrip(".")] if mix.warning else []
    if mix.pours:
        cup = f" in the {mix.cup}" if mix.cup else ""
        total = f", {mix.total} in all" if mix.total else ""
        pieces.append(f"pour{cup} " + ", then ".join(_pour(line) for line in mix.pours) + total)
    if mix.body:
        pieces.append(f"body: {mix.body}")
    pieces += [_gun(variant) for variant in mix.spray_ready]
    return "; ".join(pieces)


def _pour(line: PourLine) -> str:
    said = f"{line.amount} {line.unit} {line.name}"
    if line.total:
        said += f" (to {line.total} {line.unit})"
    if line.strain:
        said += f" strained {line.strain}"
    if line.warning:
        said += f" [{line.warning}]"
    return said


def _gun(variant: SprayReady) -> str:
    return f"for {variant.gun}: " + ", ".join(variant.facts())


def _schedule(sheet: BenchSheet) -> Iterable[str]:
    if not sheet.steps:
        return []
    over = f"Over {_either([str(ground) for ground in sheet.grounds])}: " if sheet.grounds else "Coats: "
    return [over + ", then ".join(_step(step) for step in sheet.steps)]


def _step(step: Step) -> str:
    if step.two_answers:
        return f"{step.what} (two answers)"
    more = [step.version, step.gun and f"with {step.gun}", step.laid and f"laid {step.laid}"]
    more += [step.film and f"{step.film} a coat", step.dry and f"{step.dry} between coats"]
    said = ", ".join(text for text in more if text)
    return f"{step.said()} ({said})" if said else step.said()


def _either(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _ended(sentence: str) -> str:
    return sentence if sentence.endswith((".", "!", "?")) else sentence + "."
