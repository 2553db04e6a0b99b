"""What is only shown is read without the models, which take longest to load: it says the same, and starts without."""

import json
import subprocess
import sys
from datetime import UTC, datetime

import pytest
from tests.core.documents.bad import GOLDEN

from sprayout_library.store import Author, Store, Written, path_of

LOADED = (
    "import sys\nfrom sprayout_library.cli.main import run\nstatus = run(sys.argv[1:])\n"
    "print(*sys.modules, sep=',', file=sys.stderr)\nsys.exit(status)"
)


@pytest.mark.parametrize(
    "words", [(), ("show", "Kelp glass bodied"), ("show", "Kelp fade", "--json"), ("gaps", "Kelp fade"), ("answers",)]
)
def test_what_is_looked_at_loads_no_models(settled, settled_folder, words):
    command = [sys.executable, "-c", LOADED, "--library", str(settled_folder / "lib"), *words]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    loaded = done.stderr.strip().splitlines()[-1].split(",")
    assert done.stdout.strip()
    assert not {"pydantic", "numpy", "sprayout_core.documents.head"} & set(loaded)


def test_what_is_looked_at_is_told_as_the_models_tell_it(shop, tmp_path, monkeypatch):
    """Every golden document, those in question among them, in one library."""
    texts = {}
    for file in [*sorted(GOLDEN.glob("*--base.json")), *sorted(GOLDEN.glob("*--joined.json"))]:
        head = json.loads(file.read_bytes())
        texts[path_of(head["kind"], head["id"])] = (head["id"], file.read_bytes())
    now = datetime(2026, 3, 2, tzinfo=UTC)
    with Store.create(tmp_path / "golden", now) as store:
        store.write_ready(
            {path: text for path, (_, text) in texts.items()}, Written("edit", "all of them", Author("ada", now))
        )
    asked = [(), *(("show", name, *form) for name, _ in texts.values() for form in ((), ("--json",)))]
    looked = [shop("--library", "golden", *words) for words in asked]
    monkeypatch.setattr(Store, "to_look_at", lambda self: self)
    for words, told in zip(asked, looked, strict=True):
        assert told == shop("--library", "golden", *words), words
        assert told[0] == 0, told
