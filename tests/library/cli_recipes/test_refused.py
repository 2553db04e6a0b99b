"""Bad arguments: each is told in words, none is a traceback, none changes anything."""

import pytest

LIGHT = ("--light", "D65")

#: What was typed at the first shop, and words that must stand in what it was told.
REFUSED = {
    "pack nothing": (("pack",), "missing argument"),
    "pack the unknown": (("pack", "No such thing"), "nothing is called"),
    "pack the manifest": (("pack", "Tide works"), "manifest of this library"),
    "pack over a file": (("pack", "KF-1", "--to", "there.packet"), "is there already"),
    "pack into a folder": (("pack", "KF-1", "--to", "."), "is a folder"),
    "pack where no folder can be": (("pack", "KF-1", "--to", "there.packet/inner.packet"), "cannot be written"),
    "unpack nothing there": (("unpack", "nowhere.packet"), "no such file"),
    "unpack a folder": (("unpack", "."), "is no plain file"),
    "unpack another file": (("unpack", "there.packet"), "no packet"),
    "derive from a panel": (("derive", "KF-1", "Ours"), "no versions of its own"),
    "derive the unknown": (("derive", "Kelp glas", "Ours"), "did you mean"),
    "derive under a name taken": (("derive", "Kelp glass", "Kelp glass"), "is there already"),
    "derive a mix with coats": (("derive", "Kelp glass", "Ours", "--coat", "5 Kelp glass"), "--coat is for a recipe"),
    "derive a recipe with parts": (("derive", "Kelp over two", "Ours", "--parts", "1 black"), "is for a mix"),
    "derive with a swap of nothing": (("derive", "Kelp over two", "Ours", "--swap", "weak teal=black"), "in no coat"),
    "derive with half a swap": (("derive", "Kelp over two", "Ours", "--swap", "silver="), "says no two names"),
    "derive with an unknown ground": (("derive", "Kelp over two", "Ours", "--over", "gold"), "gold"),
    "derive from no version": (("derive", "Kelp glass", "Ours", "--version", "9"), "there is no version 9"),
    "derive from version zero": (("derive", "Kelp glass", "Ours", "--version", "0"), "0"),
    "derive with bare parts": (("derive", "Kelp glass", "Ours", "--parts", "5:2"), "5:2"),
    "derive an empty title": (("derive", "Kelp glass", ""), "title"),
    "fill what has no slot": (("fill", "Kelp glass", "Ours", "--slot", "dye=black"), "no open slot"),
    "fill without a title": (("fill", "Kelp glass", "--slot", "dye=black"), "no name"),
    "fill a panel": (("fill", "KF-1", "Ours"), "no mix is called"),
    "judge in no light": (("judge", "order", "lighter", "KF-1", "KF-2"), "--light"),
    "judge by nothing": (("judge", "order", "KF-1", "KF-2", *LIGHT), "nothing to order by"),
    "judge one piece": (("judge", "order", "lighter", "KF-1", *LIGHT), "at least two"),
    "judge three as a pair": (("judge", "pair", "KF-1", "KF-2", "KF-3", *LIGHT), "name two"),
    "judge against nothing": (("judge", "compare", "warmer", "KF-1", *LIGHT), "--against"),
    "judge against itself": (("judge", "compare", "warmer", "KF-1", "--against", "KF-1", *LIGHT), "itself"),
    "judge a piece twice": (("judge", "order", "lighter", "KF-1", "KF-1", *LIGHT), "twice"),
    "judge a step that is not": (("judge", "pair", "KF-3/9", "KF-1", *LIGHT), "no step or zone '9'"),
    "judge a recipe": (("judge", "pair", "Kelp over two", "KF-1", *LIGHT), "no panel is called"),
    "judge at no time": (("judge", "pair", "KF-1", "KF-2", *LIGHT, "--at", "yesterday"), "is no time"),
    "judge in a way unknown": (("judge", "guess", "KF-1", "KF-2", *LIGHT), "guess"),
    "judge in place of nothing": (("judge", "pair", "KF-1", "KF-2", *LIGHT, "--instead-of", "abcdef"), "no judgement"),
    "judge in an empty light": (("judge", "pair", "KF-1", "KF-2", "--light", ""), "light"),
    "eyes on nothing": (("eyes", "nicer"), "nothing to order by"),
    "a picture of nothing": (("picture", "there.packet"), "--of"),
    "a picture not there": (("picture", "no.jpg", "--of", "KF-1"), "is not there"),
    "a picture that is none": (("picture", "there.packet", "--of", "KF-1"), "no jpeg, png or tiff"),
    "a picture cut off": (("picture", "cut.jpg", "--of", "KF-1"), "damaged"),
    "a picture tilted too far": (("picture", "cut.jpg", "--of", "KF-1", "--tilt", "270"), "no tilt|damaged"),
    "a picture of a piece twice": (("picture", "cut.jpg", "--of", "KF-1", "--of", "KF-1"), "twice"),
    "gaps of a panel": (("gaps", "KF-1"), "nobody sprays it"),
    "gaps of the unknown": (("gaps", "Kelp"), "nothing is called"),
    "give to nobody": (("give", "Kelp glass", "--to", "Nowhere"), "no library here is called"),
    "give to itself": (("give", "Kelp glass", "--to", "Tide works"), "library in use"),
    "use no library": (("libraries", "--use", "Nowhere"), "this machine has: tide works"),
    "two things at once": (("libraries", "--use", "Tide works", "--forget", "Tide works"), "two things at once"),
    "add no library": (("libraries", "--add", "home"), "holds no library"),
    "name without a folder": (("libraries", "--name", "Mine"), "goes with --add"),
    "take back no version": (("take-back", "Kelp glass"), "names no version"),
    "take back one not there": (("take-back", "Kelp glass@7"), "there is no version 7"),
    "standard without a panel": (("standard", "Kelp over two"), "neither a panel nor a limit"),
    "a limit of nothing": (("standard", "Kelp over two", "--within", "0"), "is no limit"),
    "a limit in words": (("standard", "Kelp over two", "--within", "small"), "small"),
    "a limit at no geometry": (("standard", "Kelp over two", "--limit", "1.5"), "says no geometry"),
    "a limit twice": (("standard", "Kelp over two", "--within", "1", "--limit", "any=2"), "twice"),
    "a geometry that is none": (("standard", "Kelp over two", "--limit", "SIDE WAYS=2"), "limits"),
    "a standard step that is not": (("standard", "Kelp over two", "KF-3/4"), "no step or zone"),
    "edited nothing": (("edited", "nowhere.json"), "is not there"),
    "edited something else": (("edited", "there.packet"), "not json"),
    "edited a document of others": (("edited", "foreign.json"), "take it in as a packet"),
    "edited an empty folder": (("edited", "home/empty"), "0 files"),
}  # fmt: skip


@pytest.fixture
def bench(kelp):
    (kelp.folder / "there.packet").write_text("no packet at all", encoding="utf-8")
    (kelp.folder / "cut.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(200))
    foreign = '{"id": "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10", "kind": "formula", "seen": {"k7f3q2": 1}}'
    (kelp.folder / "foreign.json").write_text(foreign, encoding="utf-8")
    (kelp.folder / "home" / "empty").mkdir()
    return kelp


@pytest.mark.parametrize("number", range(4))
def test_bad_arguments_are_refused_in_words_and_change_nothing(bench, number):
    wrong = []
    for what, (words, told) in list(REFUSED.items())[number::4]:
        complaint = bench.refused(*words).casefold()
        if not any(one in complaint for one in told.split("|")):
            wrong.append((what, told, complaint))
    assert not wrong


def test_there_are_enough_of_them():
    assert len(REFUSED) >= 60


def test_hand_edits_that_touch_the_record_or_what_is_written_once(bench):
    import json
    import subprocess

    subprocess.run(
        ["git", "clone", "-q", str(bench.library), str(bench.folder / "plain")], check=True, capture_output=True
    )
    [formula] = (bench.folder / "plain").rglob("formula/**/*.json")
    panel = next(iter((bench.folder / "plain").rglob("panel/**/*.json")))
    for file, change, told in (
        (formula, lambda tree: tree.update(made="zzzzzz.1"), "the edit record was changed by hand"),
        (formula, lambda tree: tree["seen"].update(zzzzzz=4), "a version that this library does not know"),
        (formula, lambda tree: tree.pop("seen"), "its edit record was taken out"),
        (formula, lambda tree: tree.update(kind="recipe"), "is written once and was changed"),
        (formula, lambda tree: tree["provenance"].update(by="eve"), "is written once and was changed"),
        (formula, lambda tree: tree["mix"].pop("basis"), "basis and items go together"),
        (formula, lambda tree: tree.update(colour="teal"), "unknown member"),
        (panel, lambda tree: tree.update(shape="curved"), "supersedes"),
    ):
        tree = json.loads(file.read_text(encoding="utf-8"))
        change(tree)
        target = bench.folder / "changed.json"
        target.write_text(json.dumps(tree), encoding="utf-8")
        assert told in bench.refused("edited", target)
