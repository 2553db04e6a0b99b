"""What can happen in a history of several shops, through real libraries, and what must hold at its end."""

import itertools
import random
import shutil

from tests.library.shops import Add, Put, TakeOut, git, mix, state
from tests.library.sync.world import SHOPS

from sprayout_core.compare import edit, join_trees
from sprayout_core.documents import parse, stored
from sprayout_core.errors import SprayoutError
from sprayout_library.packet import PacketError, gathered, look, packet_bytes, packet_from, take
from sprayout_library.store.objects import Pile
from sprayout_library.store.trees import trees_of
from sprayout_library.sync import bundle, remotes, sync, take_bundle
from sprayout_library.sync.folding import fold


class History:
    """One history being played."""

    def __init__(self, world, shops):
        self.bench = world.begin()
        self.weak, self.strong = world.weak, world.strong
        self.names = [world.kelp]
        self.shared = self.bench.new_id()
        self.shops = [self.bench.open(f"shop{number}") for number in range(shops)]
        self.backups = {}
        self.older = set()  # shops that were restored and have not synced since
        self.restored = False
        self.written, self.replaced, self.chosen = set(), set(), set()

    def play(self, steps):
        for shop, what, number in steps:
            getattr(self, what)(shop % len(self.shops), random.Random(number), number)

    # ---- edits ------------------------------------------------------------------------------------------

    def _document(self, shop, draw):
        known = [name for name in self.names if self.shops[shop].get(name) is not None]
        return self.shops[shop].get(draw.choice(known))

    def _edit(self, shop, document, *changes, names=None):
        store = self.shops[shop]
        self.bench.tick()
        at = self.bench.now.strftime("%Y-%m-%dT%H:%M:%SZ")
        try:
            after = edit(document, store.copy_id, changes, at, names)
        except SprayoutError as error:
            if "CannotEdit" not in type(error).__name__:
                raise
            return
        self.written |= remarks(after) - remarks(document)
        self.replaced |= remarks(document) - remarks(after)
        self.bench.save(store, after)

    def title(self, shop, draw, number):
        self._edit(shop, self._document(shop, draw), Put("title", draw.choice(("Kelp", "Moss", f"Name {number}"))))

    def mix(self, shop, draw, number):
        parts = {self.weak: draw.choice((9, 7, 5)), self.strong: draw.choice((2, 4))}
        self._edit(shop, self._document(shop, draw), Put("mix", mix(parts)))

    def scale(self, shop, draw, number):
        self._edit(shop, self._document(shop, draw), Put("mix/scale", draw.choice(("1", "2", "3"))))

    def tag(self, shop, draw, number):
        self._edit(shop, self._document(shop, draw), Add("tags", draw.choice(("deep", "thin", "slow"))))

    def untag(self, shop, draw, number):
        document = self._document(shop, draw)
        if document.tags:
            self._edit(shop, document, TakeOut("tags", draw.choice(sorted(set(document.tags.values())))))

    def note(self, shop, draw, number):
        self._edit(shop, self._document(shop, draw), Add("notes", {"text": f"remark {number}"}))

    def renote(self, shop, draw, number):
        document = self._document(shop, draw)
        if document.notes:
            key = draw.choice(sorted(document.notes))
            self._edit(shop, document, Put(f"notes/{key}", {"text": f"better {number}"}))

    def new(self, shop, draw, number):
        document = self.bench.formula(self.shops[shop], "New", {self.weak: 3, self.strong: draw.choice((1, 2))})
        self.bench.save(self.shops[shop], document)
        self.names.append(document.id)

    def same(self, shop, draw, number):
        """One id made on both sides, as when a list of materials is taken in by two shops."""
        if self.shops[shop].get(self.shared) is None:
            parts = {self.weak: 1, self.strong: draw.choice((1, 2))}
            facts = {"title": "Made twice", "mix": mix(parts)}
            document = self.bench.made(self.shops[shop], "formula", facts, self.shared)
            self.bench.save(self.shops[shop], document)
            self.names.append(self.shared)

    def withdraw(self, shop, draw, number):
        document = self._document(shop, draw)
        self._edit(shop, document, Put("withdrawn", dict(document.seen)))

    def bring_back(self, shop, draw, number):
        document = self._document(shop, draw)
        if document.withdrawn:
            self._edit(shop, document, Put("title", "Back again"))

    def _question(self, shop, draw):
        document = self._document(shop, draw)
        asked = parse(self.shops[shop].content(document.id)).get("questions", {})
        open_ones = sorted(atom for atom in asked if atom in ("title", "mix") or atom.startswith("notes/"))
        if not open_ones:
            return document, "", {}
        atom = draw.choice(open_ones)
        return document, atom, asked[atom]

    def settle(self, shop, draw, number):
        document, atom, answers = self._question(shop, draw)
        values = [answers[dot]["value"] for dot in sorted(answers) if "value" in answers[dot]]
        if values:
            value = draw.choice(values)
            if atom.startswith("notes/"):
                self.chosen.add(value["text"])
            self._edit(shop, document, Put(atom, value), names={atom: list(answers)})

    def some(self, shop, draw, number):
        """An edit that names only some of the answers: the others stay open."""
        document, atom, answers = self._question(shop, draw)
        values = {"title": f"Name {number}", "mix": mix({self.weak: 8, self.strong: draw.choice((3, 5))})}
        if atom:
            named = draw.sample(sorted(answers), draw.randrange(1, len(answers) + 1))
            value = values.get(atom, {"text": f"partly {number}"})
            self._edit(shop, document, Put(atom, value), names={atom: named})

    def clock(self, shop, draw, number):
        """The shops' clocks differ by days."""
        self.bench.tick(draw.choice((-3, 2)) * 86_400)

    # ---- meeting ----------------------------------------------------------------------------------------

    def sync(self, shop, draw, number, remote="hub"):
        report = sync(self.shops[shop], remotes(self.shops[shop])[remote], self.bench.now)
        assert report.refused == [], [str(fault) for fault in report.refused]
        assert report.at_remote, report.notes
        self.older -= {shop} if remote == "hub" else set()

    def far(self, shop, draw, number):
        if shop not in self.older:
            self.sync(shop, draw, number, "far")

    def stick(self, shop, draw, number):
        other = draw.randrange(len(self.shops))
        stick = bundle(self.shops[shop], self.bench.folder / "stick.bundle")
        refused = take_bundle(self.shops[other], stick, self.bench.now).refused
        assert refused == [] or self.older, [str(fault) for fault in refused]

    def packet(self, shop, draw, number):
        other, document = self.shops[draw.randrange(len(self.shops))], self._document(shop, draw)
        sent = gathered(self.shops[shop], [document], {"by": "ada"}, str, {})
        try:
            take(other, look(other, packet_from(packet_bytes(sent), "a packet"), str), "bo", self.bench.tick())
        except PacketError:
            assert self.older, "a packet was refused"

    def backup(self, shop, draw, number):
        target = self.bench.folder / f"backup{shop}"
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(self.shops[shop].folder, target)
        self.backups[shop] = target

    def restore(self, shop, draw, number):
        """A restored backup: what never left the shop is gone with the disk, all else must come back."""
        if shop in self.backups:
            self.sync(shop, draw, number)
            self.shops[shop].close()
            self.bench.copy_inside(self.backups[shop], self.shops[shop].folder)
            self.shops[shop] = self.bench.open(self.shops[shop].folder.name)
            self.older.add(shop)
            self.restored = True

    def twin(self, shop, draw, number):
        """The whole folder copied, and both go on."""
        if len(self.shops) <= SHOPS and shop not in self.older:
            name = f"twin{len(self.shops)}"
            shutil.copytree(self.shops[shop].folder, self.bench.folder / name)
            self.shops.append(self.bench.open(name))
            for remote in ("hub", "far"):
                self.bench.remote(self.shops[-1], remote, self.bench.folder / remote)

    # ---- the end ----------------------------------------------------------------------------------------

    def finish(self):
        before = [state(store) for store in self.shops]
        heads = sorted({store.head for store in self.shops})
        for _ in range(4):
            for number in range(len(self.shops)):
                self.sync(number, None, 0)
            if len({store.head for store in self.shops}) == 1:
                break
        self._same_everywhere()
        after = state(self.shops[0])
        self._nothing_lost(after)
        if not self.restored:  # a restored copy uses dots twice until it syncs: its values are judged by their remarks
            self._joined_as_values(before, after)
            self._any_order(heads)

    def _same_everywhere(self):
        assert len({store.head for store in self.shops}) == 1, "heads differ"
        assert len({str(sorted(state(store).items())) for store in self.shops}) == 1, "bytes differ"
        assert git(self.bench.folder / "hub", "fsck", "--strict") == ""

    def _nothing_lost(self, after):
        """Every remark that nobody replaced stands, none that was replaced is back, every document is there."""
        assert set(self.names) <= set(after), "a document is lost"
        stands = set().union(*(remarks(self.shops[0].get(name)) for name in self.names))
        assert self.written - self.replaced <= stands, f"lost: {self.written - self.replaced - stands}"
        back = (self.replaced - self.chosen) & stands
        assert not back, f"replaced, and back: {back}"

    def _joined_as_values(self, before, after):
        """The outside judge: no repository, no fold, only the states the shops had."""
        for name in self.names:
            states = [parse(content) for content in {one[name] for one in before if name in one}]
            results = set()
            for order in itertools.islice(itertools.permutations(states), 24):
                joined = order[0]
                for other in order[1:]:
                    joined = join_trees(joined, other)
                results.add(stored(joined))
            assert len(results) == 1, "joined as values, the order matters"
            assert results == {after[name]}, "the library differs from the joined states"

    def _any_order(self, heads):
        """Every shop makes the same commit of the heads, in whatever order they are given."""
        store = self.shops[0]
        orders = list(itertools.permutations(heads))
        made = set()
        for order in (orders[0], orders[-1], orders[len(orders) // 2]):
            with Pile() as pile:
                made.add(fold(store.git, trees_of(store.git, store.reader), order, pile))
        assert len(made) == 1, "the fold depends on the order"


def remarks(document):
    """The texts of all notes of a document, answers in question included."""
    texts = {note.text for note in (document.notes or {}).values()}
    for atom, answers in (document.questions or {}).items():
        if atom.startswith("notes/"):
            texts |= {answer.value["text"] for answer in answers.values() if isinstance(answer.value, dict)}
    return texts
