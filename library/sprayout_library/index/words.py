"""Finding by words: in titles, labels, aliases, notes, tags and the materials within, and saying where they stand."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence

from sprayout_core.errors import SprayoutError
from sprayout_library.index.opened import Index
from sprayout_library.index.rows import text_of

__all__ = ["holding", "tokens"]

_TEXTS = ("title", "label", "aliases", "notes", "tags", "materials")
_SAID = {"title": "its name", "label": "its label", "aliases": "an alias", "notes": "a note", "tags": "a tag",
         "materials": "what is in it"}  # fmt: skip


def tokens(text: str) -> list[str]:
    """Return the words of a text as they are compared: letters and digits, without case and accents, in order."""
    plain = text.lower()
    if not plain.isascii():
        apart = unicodedata.normalize("NFD", plain)
        plain = unicodedata.normalize("NFC", "".join(one for one in apart if not unicodedata.combining(one)))
    return re.findall(r"[^\W_]+", plain)


def holds_words(text: str, words: str) -> int:
    """Return 1 where every word (divided by spaces) begins a word of the text, else 0."""
    inside = tokens(text)
    return int(all(any(one.startswith(word) for one in inside) for word in words.split()))


def holding(index: Index, text: str, kinds: Sequence[str] = ()) -> Iterator[tuple[str, str]]:
    """Yield the documents that hold every word, named ones first, and where the words stand."""
    words = tokens(text)
    if text and not words:
        raise SprayoutError(f"{text!r} holds no word", "Give letters or digits.", place="words")
    seen: set[bytes] = set()
    kind = f" AND doc.kind IN ({','.join('?' * len(kinds))})" if kinds else ""
    for columns in (_TEXTS[:3], _TEXTS) if words else (_TEXTS,):
        newer: list[frozenset[bytes]] = []
        for level in index.levels:
            query, parameters = _asked(words, columns, fast=level.words)
            if words and not level.words:
                level.db.create_function("holds_words", 2, holds_words, deterministic=True)
            said = f"SELECT doc.id, {', '.join('doc.' + name for name in _TEXTS)} FROM {query}{kind}"
            for raw, *texts in level.db.execute(said, [*parameters, *kinds]):
                if raw in seen or any(raw in touched for touched in newer):
                    continue
                seen.add(raw)
                yield text_of(raw), _where(words, texts)
            newer.append(level.touched() if level is not index.levels[-1] else frozenset())


def _asked(words: Sequence[str], columns: Sequence[str], *, fast: bool) -> tuple[str, list[str]]:
    """Return the query for words: full-text where SQLite has it, else every row looked through."""
    if not words:
        return "doc WHERE 1", []
    if fast:
        said = " AND ".join(f'"{word}"*' for word in words)
        said = f"{{{' '.join(columns)}}} : ({said})" if len(columns) < len(_TEXTS) else said
        return "words JOIN doc ON doc.n = words.rowid WHERE words MATCH ?", [said]
    joined = " || ' ' || ".join(f"doc.{name}" for name in columns)
    return f"doc WHERE holds_words({joined}, ?)", [" ".join(words)]


def _where(words: Sequence[str], texts: Sequence[str]) -> str:
    """Return in which of its texts the words stand, in words."""
    told = []
    for name, text in zip(_TEXTS, texts, strict=True):
        inside = tokens(text or "")
        hits = [word for word in words if any(one.startswith(word) for one in inside)]
        if hits:
            told.append((name, text, hits))
    if not told:
        return ""
    named = {word for name, _, hits in told if name in _TEXTS[:3] for word in hits}
    shown = [
        f"{_SAID[name]}: {_line(text, hits)}" if name in ("notes", "materials", "tags", "aliases") else _SAID[name]
        for name, text, hits in told
        if name in _TEXTS[:3] or set(hits) - named
    ]
    return "; ".join(shown[:3])


def _line(text: str, hits: Sequence[str]) -> str:
    lines = text.split("\n")
    chosen = [line for line in lines if any(one.startswith(hit) for one in tokens(line) for hit in hits)]
    return ", ".join(line[:60] for line in (chosen or lines)[:2])
