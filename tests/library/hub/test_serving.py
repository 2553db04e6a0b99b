"""The commands: a hub made, served and joined as a new user would; loud beyond this machine."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from sprayout_library.hub import Hub, Settings
from sprayout_library.hub.serving import is_loopback, warnings_for


def run(home, *words, given=""):
    code = "from sprayout_library.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, words)], input=given, capture_output=True, text=True, timeout=120,
        env={**os.environ, "SPRAYOUT_HOME": str(home)}, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout + done.stderr


def test_what_is_loopback():
    assert all(map(is_loopback, ("127.0.0.1", "::1", "localhost", "[::1]", "127.8.8.8")))
    assert not any(map(is_loopback, ("0.0.0.0", "::", "192.168.1.4", "paint.example", "")))


def test_beyond_this_machine_it_is_loud_and_refuses_plain_http(tmp_path):
    hub = Hub.create(tmp_path / "hub", Settings("Hub", ""))
    assert warnings_for(hub, "127.0.0.1") == []
    told = " ".join(warnings_for(hub, "0.0.0.0"))
    assert "EVERY MACHINE" in told.upper() and "plain HTTP" in told
    status, said = run(tmp_path / "home", "hub", "serve", "--hub", hub.folder, "--host", "0.0.0.0", "--port", "0")
    assert status == 1 and "THIS HUB LISTENS" in said and "without TLS" in said


@pytest.mark.long
def test_a_hub_from_the_command_line_joined_by_two_shops(tmp_path):
    hub, keeper = tmp_path / "hub", tmp_path / "keeper"
    assert run(keeper, "hub", "create", hub, "--library", "co-op")[0] == 0
    secrets = {}
    for who in ("ada", "ben"):
        assert run(keeper, "hub", "people", "--hub", hub, "--add", who, "--role", "contributor")[0] == 0
        secrets[who] = re.search(r"spray-[0-9a-f]{64}", run(keeper, "hub", "token", "--hub", hub, "--for", who)[1])[0]
    code = "from sprayout_library.cli.main import main; main()"
    served = subprocess.Popen(
        [sys.executable, "-c", code, "hub", "serve", "--hub", str(hub), "--port", "0"],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env={**os.environ, "SPRAYOUT_HOME": str(keeper), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        address = re.search(r"http://[\d.:]+", served.stdout.readline())[0] + "/co-op"
        for who in ("ada", "ben"):
            assert run(tmp_path / who, "hub", "token", "--keep", address, given=secrets[who] + "\n")[0] == 0
            status, said = run(tmp_path / who, "join", address, tmp_path / f"shop-{who}", "--shop", who.title())
            assert status == 0, said
        status, said = run(
            tmp_path / "ada",
            "mix",
            "Kelp glass = 5 weak teal : 2 strong teal",
            "--new",
            "weak teal=dye",
            "--new",
            "strong teal=dye",
        )
        assert status == 0, said
        assert run(tmp_path / "ada", "sync")[0] == 0
        status, said = run(tmp_path / "ben", "sync")
        assert status == 0, said
        assert run(tmp_path / "ada", "sync")[0] == 0
    finally:
        served.terminate()
        served.wait(30)
    assert served.stdout.close() is None
    from sprayout_library.store import Store

    heads = []
    for who, home in (("ada", tmp_path / "ada"), ("ben", tmp_path / "ben")):
        with pytest.MonkeyPatch.context() as patched:
            patched.setenv("SPRAYOUT_HOME", str(home))
            with Store.open(tmp_path / f"shop-{who}") as store:
                heads.append(store.head)
    assert heads[0] == heads[1]


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="reads memory from /proc")
def test_a_push_of_a_hundred_megabytes_leaves_the_server_small(tmp_path):
    """The goal is 64 MB; what the server takes before anything is pushed counts too."""
    keeper, hub = tmp_path / "keeper", tmp_path / "hub"
    run(keeper, "hub", "create", hub, "--library", "co-op")
    run(keeper, "hub", "people", "--hub", hub, "--add", "ada", "--role", "contributor")
    secret = re.search(r"spray-[0-9a-f]{64}", run(keeper, "hub", "token", "--hub", hub, "--for", "ada")[1])[0]
    code = "from sprayout_library.cli.main import main; main()"
    served = subprocess.Popen(
        [sys.executable, "-c", code, "hub", "serve", "--hub", str(hub), "--port", "0"], stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True, env={**os.environ, "SPRAYOUT_HOME": str(keeper), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip

    def peak():
        told = Path(f"/proc/{served.pid}/status").read_text()
        return int(re.search(r"VmHWM:\s+(\d+)", told)[1]) / 1000

    try:
        address = re.search(r"http://[\d.:]+", served.stdout.readline())[0] + "/co-op"
        token = f"http.extraHeader=Authorization: Bearer {secret}"
        repo = tmp_path / "big"
        subprocess.run(["git", "init", "-q", str(repo)], check=True)
        (repo / "big").write_bytes(os.urandom(100_000_000))
        own = ["git", "-C", str(repo), "-c", "user.name=a", "-c", "user.email=a@b.invalid"]
        subprocess.run([*own, "add", "big"], check=True)
        subprocess.run([*own, "commit", "-q", "-m", "x"], check=True)
        subprocess.run([*own, "-c", token, "ls-remote", address], check=True, capture_output=True)
        before = peak()
        done = subprocess.run(
            [*own, "-c", token, "-c", "http.postBuffer=1000000", "push", address, "HEAD:refs/heads/shops/abcdef1"],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        after = peak()
    finally:
        served.terminate()
        served.wait(30)
        served.stdout.close()
    print(f"server: {before:.0f} MB before, {after:.0f} MB at most during a push of 100 MB")
    assert done.returncode and "The library was not changed" in done.stderr, done.stderr  # judged: it is no document
    assert after < 64 and after - before < 16


def test_a_browser_is_told_in_a_page_what_a_program_is_told_in_faults(fresh):
    """Too much at once: whoever waits reads words, not JSON."""
    live = fresh(burst=1, requests_per_second=0.01)
    live.ask("GET", "/sign-in")
    page = live.ask("GET", "/sign-in", accept="text/html")
    assert page.status == 429 and b"<h1>Too much at once</h1>" in page.body and int(page.headers["retry-after"]) >= 1
    assert b"pages.css" in page.body and b"stylesheet" in page.body
    assert live.ask("GET", "/sign-in").json["faults"][0]["problem"] == "Too much at once."
