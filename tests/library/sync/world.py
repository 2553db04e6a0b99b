"""Four shops made once in memory and put back for each history; copy ids follow from the history."""

import os
import random
import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

from tests.library.shops import NOW, Bench

from sprayout_library.sync import make_shared_folder

SHOPS = 4
_LETTERS = "abcdefghijkmnpqrstuvwxyz"


def copy_ids(seed):
    """Copy ids in no order of their making, the same ones for every history."""
    draw = random.Random(seed)
    while True:
        yield "".join(draw.choice(_LETTERS) for _ in range(6))


class World:
    """Four shops with one formula, made once; `begin` puts them back as they were."""

    def __init__(self, patch):
        memory = Path("/dev/shm")
        place = memory if memory.is_dir() and os.access(memory, os.W_OK) else None
        self.folder = Path(tempfile.mkdtemp(prefix="histories", dir=place)).resolve()
        self.patch = patch
        self._named("at first")
        bench = Bench(self.folder, patch)
        make_shared_folder(self.folder / "far")
        first = bench.joined("shop0")
        self.weak, self.strong = bench.new_id(), bench.new_id()
        kelp = bench.formula(first, "Kelp", {self.weak: 9, self.strong: 2}, tags=["clear"], notes=[{"text": "first"}])
        self.kelp = kelp.id
        bench.save(first, kelp)
        bench.sync(first)
        for number in range(1, SHOPS):
            bench.clone(f"shop{number}")
        for _ in range(2):
            for store in bench.stores:
                bench.sync(store)
                bench.remote(store, "far", self.folder / "far")
        bench.close()
        self._kept = [path.name for path in self.folder.iterdir()]
        self._template = self.folder / "template"
        for name in self._kept:
            shutil.copytree(self.folder / name, self._template / name)

    def _named(self, seed):
        names = copy_ids(seed)
        for where in ("sprayout_core.documents", "sprayout_library.sync.copied"):
            self.patch.setattr(f"{where}.new_copy_id", lambda _: next(names))

    def begin(self):
        for path in self.folder.iterdir():
            if path.name not in (*self._kept, "template"):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        bench = Bench(self.folder, self.patch)
        for name in self._kept:
            bench.copy_inside(self._template / name, self.folder / name)
        self._named("later")
        bench.now = NOW + timedelta(hours=1)
        bench.passed_over(100)
        return bench

    def close(self):
        shutil.rmtree(self.folder)
