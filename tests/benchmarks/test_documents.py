"""How fast documents are read, written, joined and flattened, against a plain typed decoder in the same run."""

import statistics
import time
import tracemalloc
from fractions import Fraction
from pathlib import Path

import msgspec
import pytest
from tests.core.documents.invented import AT, COPY, OTHER, finder, formula, material, parts

from sprayout_core.compare import Put, edit, join
from sprayout_core.documents import compact, parse, read, tree, write
from sprayout_core.mix import composition

pytestmark = pytest.mark.benchmark
GOLDEN = Path(__file__).parents[1] / "golden" / "documents"
MANY = 10_000


class Item(msgspec.Struct):
    kind: str
    ratio: int | None = None
    g_per_l: str | None = None


class Mix(msgspec.Struct):
    basis: str | None = None
    items: dict[str, Item] | None = None
    scale: str | None = None
    order: list[str] | None = None


class Plain(msgspec.Struct):
    """A formula as a plain decoder would have it: typed, nothing checked beyond."""

    format: str
    kind: str
    id: str
    made: str
    seen: dict[str, int]
    provenance: dict[str, object]
    title: str | None = None
    mix: Mix | None = None
    tags: dict[str, str] | None = None
    notes: dict[str, dict[str, str]] | None = None
    spray_ready: dict[str, dict[str, object]] | None = None


def took(action, repeats=5):
    """The median time of an action, in seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def us(seconds):
    return f"{seconds * 1e6:.0f} us each"


@pytest.fixture(scope="module")
def texts():
    base = (GOLDEN / "kelp-glass--base.json").read_bytes()
    return [base.replace(b"000000000011", b"%012x" % (number + 0x1000)) for number in range(MANY)]


def test_bulk_reading(texts, figure):
    some = texts[:2000]
    typed = took(lambda: [msgspec.json.decode(text, type=Plain) for text in some])
    parsed = took(lambda: [parse(text) for text in some], 3)
    models = took(lambda: [read(text) for text in some], 1)
    each = len(some)
    figure(
        "parsing strictly, stored form proved", parsed / typed, "times a typed decode", us(parsed / each), "at most 3"
    )
    figure("reading as checked models", models / typed, "times a typed decode", us(models / each))


def test_bulk_reading_holds_one_document_at_a_time(texts, figure):
    tracemalloc.start()
    for text in texts[:2000]:
        read(text)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    figure("peak while reading 2,000 documents one by one", peak / 1e6, "MB")


def test_writing_and_digesting(texts, figure):
    documents = [read(text) for text in texts[:500]]
    trees = [tree(document) for document in documents]
    encoded = took(lambda: [msgspec.json.encode(one, order="sorted") for one in trees])
    stored = took(lambda: [write(document) for document in documents])
    hashed = took(lambda: [compact(one) for one in trees])
    figure("writing the stored form", stored / encoded, "times plain encoding of the tree", us(stored / 500))
    figure(
        "writing the compact form for a digest", hashed / encoded, "times plain encoding of the tree", us(hashed / 500)
    )


def test_joining_two_states(figure):
    base = read((GOLDEN / "kelp-glass--base.json").read_bytes())
    ours = edit(base, COPY, [Put("title", "Kelp")], AT)
    theirs = edit(base, OTHER, [Put("rights", "CC0-1.0")], AT)
    once = took(lambda: read(write(base)), 50)
    joined = took(lambda: join(ours, theirs), 50)
    figure("join of two states of a document", joined / once, "times writing and reading one", us(joined))


def test_composition_of_nested_mixes(figure):
    weak, strong = material(1, "Weak"), material(2, "Strong")
    held = [weak, strong]
    flat = formula(10, "Flat", [(weak, 5), (strong, 2)])
    nested = [flat]
    for depth in range(1, 50):
        nested.append(formula(10 + depth, f"Nest {depth}", [(nested[-1], 5), (weak, 2)]))
    find = finder(*held, *nested)
    one = took(lambda: composition(flat, find), 50)
    fifty = took(lambda: composition(nested[-1], find), 20)
    assert sum(composition(nested[-1], find).values()) == Fraction(1)
    figure("composition of 50 mixes in one another", fifty / one, "times a flat mix", us(fifty))


def test_size_of_the_edit_record(figure):
    def size(document):
        record = ("made", "seen", "edits", "questions")
        return len(compact({name: value for name, value in tree(document).items() if name in record}))

    base = formula(10, "Flat", [(material(1, "Weak"), 5), (material(2, "Strong"), 2)])
    twice = edit(
        base, COPY, [Put("title", "Flatter"), Put("mix", parts((material(1, "Weak"), 3), (material(2, "S"), 2)))], AT
    )
    figure("edit record of an untouched formula", size(base), "bytes", f"{size(twice)} bytes with two edited atoms")
