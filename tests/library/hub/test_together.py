"""Somebody at a browser and two shops at their commands, all at once: one head in the end, and nothing is lost."""

import os
import re
import subprocess
import sys
import threading

import pytest

from sprayout_library.hub.door import csrf_of
from sprayout_library.store import Store

pytestmark = pytest.mark.long

ROUNDS = 4


def command(home, *words, given=""):
    code = "from sprayout_library.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, words)], input=given, capture_output=True, text=True, timeout=180,
        env={**os.environ, "SPRAYOUT_HOME": str(home)}, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout + done.stderr


class Shop:
    def __init__(self, live, folder, name):
        self.home, self.library, self.name = folder / f"home-{name}", folder / name, name
        secret = live.person(name, "contributor", shop=name.title())
        self.did(*("hub", "token", "--keep", live.address), given=secret + "\n")
        self.did("join", live.address, self.library, "--shop", name.title())

    def did(self, *words, given=""):
        status, said = command(self.home, *words, given=given)
        assert status == 0, (words, said)

    def works(self, faults):
        for number in range(ROUNDS):
            for words, fine in (
                (("material", f"{self.name} dye {number}", "--role", "dye"), {0}),
                (("sync",), {0, 3}),  # 3: somebody else was just being let in, it goes out next time
            ):
                status, said = command(self.home, "--library", self.library, *words)
                if status not in fine:
                    faults.append((self.name, words, said))

    def state(self):
        with Store.open(self.library) as store:
            return store.head, {one.name for one in store.documents("material")}


def browses(live, cookie, faults):
    token = csrf_of(cookie.partition("=")[2])
    for number in range(ROUNDS * 3):
        name = f"booth dye {number}"
        form = {"csrf": token, "do": "material", "name": name, "role": "dye"}
        done = live.ask("POST", "/l/co-op/mix", body=form, cookie=cookie)
        if done.status != 303:
            faults.append((done.status, re.sub(r"<[^>]+>", " ", done.body.decode())[-400:]))
        for path in ("/l/co-op/", "/l/co-op/look", "/l/co-op/find?kind=material"):
            seen = live.ask("GET", path, cookie=cookie)
            if seen.status != 200:
                faults.append((path, seen.status))


def test_a_browser_and_two_shops_at_once_end_with_one_head(fresh, tmp_path):
    live = fresh()
    shops = [Shop(live, tmp_path, name) for name in ("kelp", "moss")]
    cookie, faults = live.signed_in("cal"), []

    threads = [threading.Thread(target=shop.works, args=(faults,)) for shop in shops]
    threads.append(threading.Thread(target=browses, args=(live, cookie, faults)))
    for one in threads:
        one.start()
    for one in threads:
        one.join(300)
    assert faults == [] and not any(one.is_alive() for one in threads)
    for shop in (*shops, *shops):
        shop.did("--library", shop.library, "sync")
    with live.hub.store("co-op") as store:
        head, names = store.head, {one.name for one in store.documents("material")}
    assert {shop.state()[0] for shop in shops} == {head}
    assert names == {f"{shop.name} dye {n}" for shop in shops for n in range(ROUNDS)} | {
        f"booth dye {n}" for n in range(ROUNDS * 3)
    }
