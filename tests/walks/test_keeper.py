"""The shop that keeps the library: two answers, a hostile push, a backup brought back."""

import contextlib
import os
import re
import subprocess
import sys

TELLS = "from sprayout_library.cli.main import main; main()"


@contextlib.contextmanager
def serving(person, hub="hub"):
    """The hub in a process of its own, as its keeper starts it: the address of its library."""
    env = {**os.environ, "SPRAYOUT_HOME": str(person.machine / "home"), "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-c", TELLS, "hub", "serve", "--hub", hub, "--port", "0"]
    running = subprocess.Popen(command, cwd=person.folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    try:
        address = ""
        while not address:
            line = running.stdout.readline().decode("utf-8")
            assert line or running.poll() is None, "the hub did not start"
            if found := re.search(r"join (http://\S+/co-op) FOLDER", line):
                address = found[1]
        yield address
    finally:
        running.terminate()
        running.stdout.close()
        running.wait(120)


def token_of(keeper, name):
    [secret] = re.findall(r"spray-[0-9a-f]+", keeper.says("hub", "token", "--for", name))
    return secret


def stranger_pushes(folder, address, secret):
    """A push by plain git of a commit that is no version of a library; what git told."""
    git = ["git", "-C", str(folder)]
    subprocess.run(["git", "init", "-q", str(folder)], check=True)
    (folder / "run-me.sh").write_text("echo hello\n", "utf-8")
    subprocess.run([*git, "add", "."], check=True)
    who = ["-c", "user.name=mal", "-c", "user.email=mal@example.invalid"]
    subprocess.run([*git, *who, "commit", "-q", "-m", "hello"], check=True)
    header = f"http.extraHeader=Authorization: Bearer {secret}"
    words = [*git, "-c", header, "push", address, "HEAD:refs/heads/shops/mallory1"]
    done = subprocess.run(words, capture_output=True, timeout=180)
    return done.returncode, done.stderr.decode("utf-8", "replace")


def test_two_answers_a_hostile_push_and_a_backup(person, tmp_path):
    kim, ada, bo = person("kim"), person("ada"), person("bo")
    kim.says("hub", "create", "hub", "--library", "co-op")
    kim.says("hub", "people", "--add", "kim", "--role", "keeper")
    secrets = {}
    for name, shop in (("ada", "Reed Works"), ("bo", "Weir Lane"), ("mal", "Nowhere")):
        kim.says("hub", "people", "--add", name, "--role", "contributor", "--shop", shop)
        secrets[name] = token_of(kim, name)
    with serving(kim) as address:
        for who, shop in ((ada, "Reed Works (invented)"), (bo, "Weir Lane (invented)")):
            who.says("hub", "token", "--keep", address, given=secrets[who.name] + "\n")
            who.says("join", address, "co-op", "--shop", shop)
        mix = ("mix", "Moss glass = 5 weak moss : 2 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
        ada.says(*mix)
        ada.says("sync")
        bo.says("sync")
        ada.says("mix", "Moss glass = 6 weak moss : 2 strong moss")
        bo.says("mix", "Moss glass = 5 weak moss : 3 strong moss")
        for who in (ada, bo, ada):
            who.says("sync")
        waiting = ada.says("answers")
        assert "Moss glass" in waiting and "3 weak moss : 1 strong moss" in waiting
        ada.says("choose", "Moss glass", "ours", "--because", "it was sprayed")
        for who in (ada, bo):
            who.says("sync")
        assert "No two answers" in bo.says("answers")
        assert "it was sprayed" in bo.says("history", "Moss glass")

        status, told = stranger_pushes(tmp_path / "stranger", address, secrets["mal"])
        assert status and "is a commit that no library made" in told, told
        bo.says("sync")
        assert "run-me" not in bo.says("list")
        kim.says("hub", "people", "--withdraw", "mal")
        assert stranger_pushes(tmp_path / "again", address, secrets["mal"])[0]
        assert "backed up" in kim.says("hub", "backup", "monday.backup")
        ada.says("note", "Moss glass", "written after the backup")
        ada.says("sync")

    # The hub's disk is lost; the backup comes back, and what a shop sent since comes from that shop.
    kim.says("hub", "restore", "monday.backup", "hub-again")
    with serving(kim, "hub-again") as address:
        for who in (ada, bo):
            who.says("hub", "token", "--keep", address, given=secrets[who.name] + "\n")
            who.says("sync", "--to", address)
        ada.says("sync", "--to", address)
        bo.says("sync", "--to", address)
        assert "written after the backup" in bo.says("show", "Moss glass")
        assert "nothing is wrong" in bo.says("check")
