"""Random histories of several shops through real repositories: whatever the order, everyone ends with the same.

What must hold at the end of every history, however the shops met (hub, a second folder, sticks, restored backups):
all hold the same bytes at the same head; joining the states of all shops as values, in any order, gives those bytes;
every edit that nobody replaced is there and no replaced one came back; folding the heads in any order is one commit.
On failure the history is told, shortened to the fewest steps that still fail.
"""

import itertools
import random
import shutil

import pytest
from tests.library.shops import Add, Bench, Put, TakeOut, git, mix, state

from sprayout_core.compare import join_trees
from sprayout_core.documents import parse, stored
from sprayout_core.errors import SprayoutError
from sprayout_library.store.objects import Pile
from sprayout_library.store.trees import trees_of
from sprayout_library.sync import bundle, take_bundle
from sprayout_library.sync.folding import fold

STEPS = (
    ("title", 3), ("mix", 4), ("scale", 1), ("tag", 2), ("untag", 1), ("note", 2), ("renote", 1), ("new", 1),
    ("withdraw", 1), ("bring_back", 1), ("settle", 2), ("sync", 6), ("stick", 2), ("backup", 1), ("restore", 1),
)  # fmt: skip


class History:
    """One history being played; every step is (shop, what, a number to draw details from)."""

    def __init__(self, bench, shops):
        self.bench = bench
        first = bench.joined("shop0")
        self.weak, self.strong = bench.new_id(), bench.new_id()
        kelp = bench.formula(first, "Kelp", {self.weak: 9, self.strong: 2}, tags=["clear"], notes=[{"text": "first"}])
        self.names = [kelp.id]
        bench.save(first, kelp)
        bench.sync(first)
        self.shops = [first, *(bench.clone(f"shop{number}")[0] for number in range(1, shops))]
        self.backups = {}

    def play(self, steps):
        for shop, what, number in steps:
            getattr(self, what)(shop % len(self.shops), random.Random(number))

    def _document(self, shop, draw):
        known = [name for name in self.names if self.shops[shop].get(name) is not None]
        return self.shops[shop].get(draw.choice(known))

    def _edit(self, shop, name, *changes):
        from sprayout_core.errors import SprayoutError

        try:
            self.bench.edit(self.shops[shop], name, *changes)
        except SprayoutError as error:
            if "CannotEdit" not in type(error).__name__:
                raise

    def title(self, shop, draw):
        self._edit(
            shop,
            self._document(shop, draw).id,
            Put("title", draw.choice(("Kelp", "Moss", f"Name {draw.random():.3f}"))),
        )

    def mix(self, shop, draw):
        parts = {self.weak: draw.choice((9, 7, 5)), self.strong: draw.choice((2, 4))}
        self._edit(shop, self._document(shop, draw).id, Put("mix", mix(parts)))

    def scale(self, shop, draw):
        self._edit(shop, self._document(shop, draw).id, Put("mix/scale", draw.choice(("1", "2", "3"))))

    def tag(self, shop, draw):
        self._edit(shop, self._document(shop, draw).id, Add("tags", draw.choice(("deep", "thin", "slow"))))

    def untag(self, shop, draw):
        document = self._document(shop, draw)
        if document.tags:
            self._edit(shop, document.id, TakeOut("tags", draw.choice(sorted(set(document.tags.values())))))

    def note(self, shop, draw):
        self._edit(shop, self._document(shop, draw).id, Add("notes", {"text": f"remark {draw.random():.4f}"}))

    def renote(self, shop, draw):
        document = self._document(shop, draw)
        if document.notes:
            key = draw.choice(sorted(document.notes))
            self._edit(shop, document.id, Put(f"notes/{key}", {"text": f"better {draw.random():.4f}"}))

    def new(self, shop, draw):
        store = self.shops[shop]
        document = self.bench.formula(store, "New", {self.weak: 3, self.strong: draw.choice((1, 2))})
        self.bench.save(store, document)
        self.names.append(document.id)

    def withdraw(self, shop, draw):
        self.bench.withdraw(self.shops[shop], self._document(shop, draw).id)

    def bring_back(self, shop, draw):
        document = self._document(shop, draw)
        if document.withdrawn:
            self._edit(shop, document.id, Put("title", "Back again"))

    def settle(self, shop, draw):
        document = self._document(shop, draw)
        asked = {name: answers for name, answers in (document.questions or {}).items() if name in ("title", "mix")}
        for atom, answers in asked.items():
            values = [
                parse(self.shops[shop].content(document.id))["questions"][atom][dot].get("value")
                for dot in sorted(answers)
            ]
            values = [value for value in values if value is not None]
            if values:
                self.bench.settle(self.shops[shop], document.id, atom, draw.choice(values))

    def sync(self, shop, draw):
        report = self.bench.sync(self.shops[shop])
        assert report.refused == [], report.refused
        assert report.at_remote

    def stick(self, shop, draw):
        other = draw.randrange(len(self.shops))
        stick = self.bench.folder / "stick.bundle"
        bundle(self.shops[shop], stick)
        assert take_bundle(self.shops[other], stick, self.bench.now).refused == []

    def backup(self, shop, draw):
        target = self.bench.folder / f"backup{shop}"
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(self.shops[shop].folder, target)
        self.backups[shop] = target

    def restore(self, shop, draw):
        """A restored backup: edits that never left the shop are gone with the disk, all others must come back."""
        if shop not in self.backups:
            return
        self.sync(shop, draw)
        self.shops[shop].close()
        self.bench.copy_inside(self.backups[shop], self.shops[shop].folder)
        self.shops[shop] = self.bench.open(self.shops[shop].folder.name)

    def finish(self):
        before = [state(store) for store in self.shops]
        heads = sorted({store.head for store in self.shops})
        for _ in range(3):
            for number in range(len(self.shops)):
                self.sync(number, None)
        self._same_everywhere()
        hub = self.bench.folder / "hub"
        known = [line.split()[0] for line in git(hub, "for-each-ref", "refs/heads/shops").splitlines()]
        self._joined_as_values(before, state(self.shops[0]), whole=not self.backups)
        self._any_order(heads, set(known))

    def _same_everywhere(self):
        assert len({store.head for store in self.shops}) == 1, "heads differ"
        assert len({str(sorted(state(store).items())) for store in self.shops}) == 1, "bytes differ"
        assert git(self.shops[0].folder, "fsck", "--strict") == ""

    def _joined_as_values(self, before, after, *, whole):
        """The outside judge: no repository, no fold, only the states the shops had."""
        for name in self.names:
            states = [parse(one[name]) for one in before if name in one]
            results = set()
            for order in itertools.permutations(states):
                joined = order[0]
                for other in order[1:]:
                    joined = join_trees(joined, other)
                results.add(stored(joined))
            assert len(results) == 1, "joined as values, the order matters"
            if whole:
                assert results == {after[name]}, "the library differs from the joined states"

    def _any_order(self, heads, known):
        """Every shop makes the same commit of the heads, in whatever order they are given."""
        store = self.shops[0]
        heads = [head for head in heads if store.reader.info(head) is not None]
        made = set()
        for order in itertools.permutations(heads):
            with Pile() as pile:
                made.add(fold(store.git, trees_of(store.git, store.reader), order, pile))
        assert len(made) == 1, "the fold depends on the order"


def played(folder, monkeypatch, shops, steps):
    """Play a history in a fresh folder and return what broke, or None."""
    folder.mkdir()
    bench = Bench(folder, monkeypatch)
    try:
        history = History(bench, shops)
        history.play(steps)
        history.finish()
    except (AssertionError, SprayoutError, OSError, KeyError, ValueError) as error:
        return f"{type(error).__name__}: {error}"
    finally:
        bench.close()
        shutil.rmtree(folder)
    return None


def drawn(seed, length=14):
    draw = random.Random(seed)
    shops = draw.choice((2, 2, 3, 4))
    words = [word for word, weight in STEPS for _ in range(weight)]
    return shops, [(draw.randrange(shops), draw.choice(words), draw.randrange(10**6)) for _ in range(length)]


def shortest(folder, monkeypatch, shops, steps):
    """Leave out steps for as long as the history still breaks."""
    count = itertools.count()
    for place in range(len(steps) - 1, -1, -1):
        fewer = steps[:place] + steps[place + 1 :]
        if played(folder / f"less{next(count)}", monkeypatch, shops, fewer):
            steps = fewer
    return steps


def check(seeds, tmp_path, monkeypatch, length):
    for seed in seeds:
        shops, steps = drawn(seed, length)
        broken = played(tmp_path / f"history{seed}", monkeypatch, shops, steps)
        if broken:
            few = shortest(tmp_path, monkeypatch, shops, steps)
            told = "\n".join(f"    shop {shop}: {what} ({number})" for shop, what, number in few)
            pytest.fail(f"seed {seed}, {shops} shops: {broken}\n{told}")


def test_a_few_histories(tmp_path, monkeypatch):
    check(range(2), tmp_path, monkeypatch, 7)


@pytest.mark.long
@pytest.mark.parametrize("block", range(20))
def test_many_histories(tmp_path, monkeypatch, block):
    check(range(1000 + 10 * block, 1010 + 10 * block), tmp_path, monkeypatch, 16)
