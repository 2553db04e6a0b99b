"""An invented shop for tests of the spray day: documents by name, cups poured, a clock that only goes when asked."""

import itertools
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from sprayout_core.compare import Add, Put
from sprayout_core.mix import parse_amount, parse_line
from sprayout_library.record import Names, Writer, mix_from_line, now_text, ready_changes, recipe_facts
from sprayout_library.record.batches import Really, batch_facts, next_label
from sprayout_library.record.cups import Shelf
from sprayout_library.record.pours import hardener_in
from sprayout_library.store import Store

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


class SprayShop:
    def __init__(self, folder, monkeypatch):
        monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "home"))
        self.folder = folder
        self.now = NOW
        self._drawn = itertools.count(1)
        self.store = Store.create(folder / "lib", self.now)
        self.writer = Writer(
            self.store, "ada", clock=lambda: self.now, random=lambda count: next(self._drawn).to_bytes(count, "big")
        )
        self.library = self.save(
            "library", {"title": "Reed yard", "illuminant": "D65", "observer": 10, "difference": "ciede2000"}
        )

    def copied(self, folder, monkeypatch):
        """The same shop in a folder of its own, for one test to change."""
        import copy
        import shutil

        other = copy.copy(self)
        monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "home"))
        shutil.copytree(self.folder / "lib", folder / "lib")
        other.folder = folder
        other.store = Store.open(folder / "lib")
        other.writer = Writer(other.store, "ada", clock=lambda: other.now, random=self.writer.random)
        return other

    def close(self):
        self.store.close()

    def tick(self, seconds=60):
        self.now += timedelta(seconds=seconds)
        return now_text(self.now)

    @property
    def at(self):
        return now_text(self.now)

    @property
    def names(self):
        return Names(self.store)

    @property
    def shelf(self):
        self.store.refresh()
        return Shelf(self.store)

    def save(self, kind, facts):
        document = self.writer.new(kind, facts)
        self.writer.save([document], f"{kind}")
        return document

    def material(self, title, role="dye", **facts):
        cautions = facts.pop("cautions", None)
        return self.save(
            "material", {"title": title, "role": role, **facts, **({"cautions": cautions} if cautions else {})}
        )

    def stock(self, **roles):
        """Several materials in one save, by name with _ for blanks: weak_teal="dye"."""
        made = [
            self.writer.new("material", {"title": name.replace("_", " "), "role": role}) for name, role in roles.items()
        ]
        self.writer.save(made, "stock")

    def mix(self, line):
        parsed = parse_line(line)
        return self.save("formula", {"title": parsed.title, "mix": mix_from_line(parsed, self.names)})

    def ready(self, formula, name, **given):
        if "reducer" in given:
            given["reducer"] = self.names.find(given["reducer"], "material").id
        document = self.writer.edited(self.get(formula.id), ready_changes(self.get(formula.id), name, given))
        self.writer.save([document], "ready")
        return document

    def recipe(self, title, over, coats, clear=None):
        return self.save("recipe", recipe_facts(title, over, coats, clear, self.names))

    def get(self, identity):
        return self.store.get(identity)

    def edit(self, document, *changes):
        after = self.writer.edited(self.get(document.id), list(changes))
        self.writer.save([after], "an edit")
        return after

    def unsaved_cup(self, formula, *poured, label):
        really = [self._really(what, words) for what, words in poured]
        facts = batch_facts(formula, self.store.find, really, label=label, at=self.at)
        return self.writer.new("batch", {"title": label, **facts})

    def _really(self, what, words):
        amount = parse_amount(words)
        unit = "g" if amount.measure.value == "g" else "ml"
        kind, key = ("material", self.names.find(what, "material").id) if isinstance(what, str) else ("batch", what.id)
        return Really(kind, key, amount.value, unit)

    def cup(self, formula, *poured, variant=None, label=None, takes_whole=None):
        """A cup really poured: ("weak teal", "50 g") or (a batch, "20 ml") pairs."""
        really = [self._really(what, words) for what, words in poured]
        code = next_label(self.names, label)
        facts = batch_facts(
            self.get(formula.id),
            self.store.find,
            really,
            label=code,
            at=self.at,
            variant=variant,
            takes_whole=takes_whole,
            hardener=hardener_in(really, self.shelf),
        )
        return self.save("batch", {"title": code, **facts})


def parts(**amounts):
    return {name: Fraction(text) for name, text in amounts.items()}


__all__ = ["NOW", "Add", "Put", "SprayShop", "parts"]
