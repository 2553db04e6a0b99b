"""Bad arguments of the spray day: each is told in words, none is a fault of ours, none changes anything."""

import pytest
from tests.library.grey_png import png

REFUSED = {
    "need nothing": (("need",), "missing argument"),
    "need without amount": (("need", "Weir glass"), "does not say how much"),
    "need of the unknown": (("need", "Weir glas=10 ml"), "did you mean"),
    "need in plain ounces": (("need", "Weir glass=4 oz"), "may be ounces of weight"),
    "need in nothing": (("need", "Weir glass=120"), "120 of what"),
    "need of a slot": (("need", "House=100 ml"), "slot"),
    "need by volume and by mass": (("need", "Weir glass=100 ml", "Weir heavy=100 g"), "some by mass"),
    "need of a job without landing": (("need", "Weir frame", "--area", "0.3"), "what share lands"),
    "need of a job landing too much": (
        ("need", "Weir frame", "--area", "0.3", "--lands", "120"), "more than all of it"),
    "need of a job backwards": (("need", "Weir frame", "--area", "0.3", "--lands", "65-50"), "smaller end first"),
    "need of a job without film": (("need", "Weir frame", "--area", "0.3", "--lands", "50-65"), "no film per coat"),
    "need of no area": (("need", "Weir frame", "--area", "0", "--lands", "50", "--film", "8"), "is 0"),
    "need until covered": (("need", "Weir cover", "--area", "0.3", "--lands", "50", "--film", "8"), "has no number"),
    "need of solids unknown": (
        ("need", "Weir hard", "--area", "1", "--lands", "50", "--film", "8", "--coats", "2"), "solids of hardener two"),
    "need with job words but no area": (("need", "Weir glass=10 ml", "--film", "8"), "belongs to a job"),
    "need of two jobs": (("need", "Weir frame", "Weir cover", "--area", "1"), "one mix or recipe at a time"),
    "pour nothing": (("pour", "Weir glass"), "how much of it"),
    "pour less than nothing": (("pour", "Weir glass", "-5 ml"), ""),
    "pour zero": (("pour", "Weir glass", "0 ml"), "0"),
    "pour a thousand with a comma": (("pour", "Weir glass", "1,250 g"), "can be read as"),
    "pour into an unknown cup": (("pour", "Weir glass", "70 ml", "--in", "bucket"), "no cup and no scale"),
    "pour on a column it does not have": (("pour", "Weir hard", "70 ml", "--in", "jug"), "no column of the cup"),
    "pour more than the column": (("pour", "Weir glass", "150 ml", "--in", "jug"), "its column ends at"),
    "pour more than the scale carries": (("pour", "Weir glass", "501 g", "--in", "bench"), "more than its"),
    "pour what does not show on the scale": (("pour", "Weir bodied", "0.3 g", "--in", "bench"), "does not show"),
    "pour through no such gun": (("pour", "Weir bodied", "70 ml", "--through", "wide"), "no spray-ready 'wide'"),
    "pour a house ratio": (("pour", "House", "70 ml"), "open slot"),
    "pour grams of unknown density": (("pour", "Weir hard", "70 g", "--from", "H9"), "no cup is called"),
    "pour from the wrong cup": (("pour", "Weir hard", "100 ml", "--from", "N1"), "which is not what"),
    "pour more from a cup than it holds": (("pour", "Weir glass", "100 ml", "--from", "N1=60 ml"), "holds 50 ml"),
    "pour more from a cup than belongs": (("pour", "Weir bodied", "110 ml", "--from", "N1=30 ml"), "belong in"),
    "pour the unknown really": (("pour", "Weir glass", "--really", "mud=5 ml"), "no material or cup"),
    "pour twice the same": (
        ("pour", "Weir glass", "--really", "weak teal=5 ml", "--really", "weak teal=6 ml"), "said twice"),
    "pour grams and ml that cannot be added": (
        ("pour", "Weir glass", "--really", "weak teal=5 ml", "--really", "fen violet=3 g", "--really", "thinner=1 ml",
         "--from", "N1"), "belong to a pour list"),
    "pour grams onto millilitres without a density": (
        ("pour", "Weir glass", "--really", "fen violet=5 ml", "--really", "weak teal=3 g"), "meet in this cup"),
    "pour more of a cup than is in it, in another measure": (
        ("pour", "Weir bodied", "--really", "N1=400 g"), "left in n1"),
    "pour a house ratio really": (("pour", "House", "--really", "weak teal=3 g"), "open slot"),
    "pour a lot of nothing": (("pour", "Weir glass", "70 ml", "--done", "--lot", "thinner=7"), "was not poured"),
    "pour under a label taken": (("pour", "Weir glass", "70 ml", "--done", "--label", "n1"), "another cup or panel"),
    "pour drops of what": (("pour", "Weir glass", "70 ml", "--drops", "weak teal=straw"), "no dropper"),
    "pour half a drop": (("pour", "Weir glass", "0.5 ml", "--drops", "strong teal=tube"), "less than half a drop"),
    "cup unknown": (("cup", "C99"), "no cup is called"),
    "cup by a wrong square": (("cup", "https://weir.example"), "no cup is called"),
    "cup by half a square": (("cup", "sprayout:12345678/abc"), "2 of 3 parts"),
    "cup take too much": (("cup", "N1", "--take", "51 ml"), "more than the 50 ml left"),
    "cup take of none": (("cup", "--take", "5 ml"), "which cup"),
    "cup into without how much": (("cup", "N1", "--into", "jar"), "how much was taken"),
    "the bodied cup for the neat mix": (("cup", "B1", "--for", "Weir glass"), "5.5 times its dye"),
    "rescue with hardener in": (("rescue", "H1"), "hardener is in the cup"),
    "stretch with hardener in": (("rescue", "H1", "--to", "200 ml"), "hardener is in the cup"),
    "stretch what is off": (("rescue", "OFF", "--to", "200 ml"), "rescue it first"),
    "stretch to less": (("rescue", "N1", "--to", "20 ml"), "is wanted"),
    "stretch beyond the cup": (("rescue", "N1", "--to", "200 ml", "--holds", "100 ml"), "does not fit"),
    "rescue what is sound": (("rescue", "N1", "--done"), "nothing to add"),
    "rescue in another step": (("rescue", "OFF", "--step", "0.1 g"), "counted in ml"),
    "spray start of nothing": (("spray", "start", "Weir frame"), "no cup"),
    "spray start with the neat cup for the bodied": (
        ("spray", "start", "Weir frame", "--cup", "N1", "--piece", "Q1 over silver"), "this recipe sprays weir bodied"),
    "spray start over another ground": (
        ("spray", "start", "Weir frame", "--cup", "B1", "--piece", "Q1 over black"), "not sprayed over black"),
    "spray start with a piece on the stand": (
        ("spray", "start", "Weir frame", "--cup", "B1", "--piece", "p1 over silver"), "on the stand"),
    "spray coat on no piece": (("spray", "coat", "P9"), "no piece 'p9'"),
    "spray coat from no cup": (("spray", "coat", "all", "--cup", "N1"), "no cup of this session"),
    "spray coat uncounted": (("spray", "coat", "all", "--count", "lots"), "no count of coats"),
    "spray finish without a coat": (("spray", "finish"), "no piece has a coat"),
    "spray finish in a storm": (("spray", "finish", "--air", "warm"), "no air to spray in"),
    "spray undo of the start": (("spray", "undo"), "nothing is left to take back"),
    "spray another session": (("spray", "show", "--session", "Weir cover"), "no session"),
    "spray note of nothing": (("spray", "note", "P1", "  "), "a remark of nothing"),
    "spray cup again": (("spray", "cup", "B1"), "on the bench already"),
    "spray judge of no piece": (("spray", "judge", "pair", "P1", "P9", "--light", "D65"), "on the stand: p1, p2"),
    "spray judge without a coat": (("spray", "judge", "pair", "P1", "P2", "--light", "D65"), "p1 has no coat yet"),
    "spray judge one piece": (("spray", "judge", "order", "lighter", "P1", "--light", "D65"), "at least two pieces"),
    "spray judge by nothing": (("spray", "judge", "order", "nicer", "P1", "P2", "--light", "D65"), "nothing to order"),
    "spray judge against nothing": (
        ("spray", "judge", "compare", "warmer", "P1", "--light", "D65"), "compared with nothing"),
    "spray judge against itself": (
        ("spray", "judge", "compare", "warmer", "P1", "--against", "p1", "--light", "D65"), "against itself"),
    "spray judge an order against": (
        ("spray", "judge", "order", "warmer", "P1", "P2", "--against", "P1", "--light", "D65"), "goes with compare"),
    "spray judge twice the same": (
        ("spray", "judge", "order", "warmer", "P1", "P2", "p1", "--light", "D65"), "a piece stands twice"),
    "spray judge a step of a piece": (("spray", "judge", "pair", "P1/3", "P2", "--light", "D65"), "no step or zone"),
    "spray judge in no light": (("spray", "judge", "pair", "P1", "P2"), "--light"),
    "spray judge in a light of nothing": (("spray", "judge", "pair", "P1", "P2", "--light", ""), ""),
    "spray picture of no file": (("spray", "picture", "none.jpg", "--piece", "P1"), "is not there"),
    "spray picture of no piece": (("spray", "picture", "taps.txt", "--piece", "P9"), "on the stand: p1, p2"),
    "spray picture without a coat": (("spray", "picture", "taps.txt", "--piece", "P1"), "p1 has no coat yet"),
    "spray picture twice the same": (
        ("spray", "picture", "taps.txt", "--piece", "P1", "--piece", "p1"), "a piece stands twice"),
    "spray picture tilted too far": (
        ("spray", "picture", "taps.txt", "--piece", "P1", "--tilt", "200"), "is no tilt"),
    "spray picture of nobody": (("spray", "picture", "taps.txt"), "--piece"),
    "sheet of a panel": (("sheet", "silver"), "no recipe or mix"),
    "sheet of a recipe with a bare amount": (("sheet", "Weir frame", "--amount", "120 ml"), "how much of which mix"),
    "sheet with a tool and no amount": (("sheet", "Weir glass", "--in", "bench"), "how much is poured"),
    "sheet into nowhere": (("sheet", "Weir glass", "--out", "no/such/place.pdf"), "no folder"),
    "sheet over a folder": (("sheet", "Weir glass", "--out", "lib"), "is a folder"),
    "label of nothing": (("label", "Z1"), "no cup or panel"),
    "label too small for its caution": (("label", "H1", "--single", "36x18"), ""),
    "label of a size that is none": (("label", "N1", "--single", "big"), "is no size"),
    "label on a grid that does not fit": (("label", "N1", "--sheet", "a4", "--grid", "9x9"), "labels reach"),
    "label both ways": (("label", "N1", "--sheet", "a4", "--single", "62x36"), "single labels or a sheet"),
    "scan another library's": (
        ("scan", "SPRAYOUT:00000000/01926F3A-7C1E-7B52-9A41-5D0C8E2F7A10/0123456789ABCDEF"), "another library"),
    "scan a tin": (("scan", "4006381333931"), "not a code"),
    "cups without marks": (("cups", "columns", "tin", "5:2"), "has no marks"),
    "cups of nothing": (("cups", "columns", "tin", ""), "no printed ratio"),
    "cups of no ratio": (("cups", "columns", "tin", "five 1=70"), "no printed ratio"),
    "cups with falling marks": (("cups", "columns", "tin", "5:2 1=140 2=70"), "do not rise"),
    "cups under a scale's name": (
        ("cups", "marks", "bench", "--step", "10", "--holds", "100"), "a name among the scales"),
    "cups weighed backwards": (("cups", "weigh", "jar", "20mm=60g", "40mm=50g"), "does not rise"),
    "cups in boiling water": (("cups", "weigh", "jar", "20mm=60g", "--water", "90"), "90 °c"),
    "cups forgotten twice": (("cups", "remove", "tin"), "nothing is called"),
    "taper of one part": (("cups", "taper", "4", "--bottom", "70", "--top", "90"), "one part"),
    "scale without a step": (("scale", "new"), "smallest step"),
    "scale of another unit": (("scale", "new", "--step", "0.1oz"), "no number in g"),
    "dropper of few drops": (("dropper", "straw", "--drops", "5", "--made", "1ml"), "too few"),
    "gun film of half the facts": (("gun", "small", "--tip", "1.2", "--speed", "0.4"), "needs --flow"),
    "thin in a bare cup": (("thin", "4 mm", "45"), "which standard's cup"),
    "thin out of range": (("thin", "ISO 2431 4 mm", "12"), "smaller opening"),
    "thin converted out of range": (("thin", "ASTM D4212 #2", "25", "--in", "ASTM D1200 #4"), "outside the 20 to 100"),
    "strainer with a bare number": (("strainer", "200"), "um or mesh"),
    "strainer for no pearl": (("strainer", "190um", "--for", "weak teal"), "flake size of weak teal"),
    "voc without solids": (("voc", "Weir glass"), "solids by mass"),
    "voc of more than all": (
        ("voc", "Weir glass", "--solids", "weak teal=80", "--solids", "strong teal=30", "--water", "weak teal=50"),
        "add up to"),
    "cost of nothing": (("cost",), "what of what"),
    "cost with a strange price": (("cost", "--price", "weak teal=cheap"), "is no price"),
}  # fmt: skip


@pytest.fixture(autouse=True, scope="module")
def no_picture(written):
    (written / "taps.txt").write_bytes(b"no picture")


COATED = {
    "picture that is none": (("spray", "picture", "taps.txt", "--piece", "P1"), "no jpeg, png or tiff"),
    "picture taken at no time": (("spray", "picture", "four.png", "--piece", "P1", "--taken", "noon"), "taken_at"),
    "picture again": (("spray", "picture", "three.png", "--piece", "P2"), "is here already (p1, in d65)"),
    "judge in a light of nothing": (("spray", "judge", "pair", "P1", "P2", "--light", ""), "light"),
    "judge by nobody": (("spray", "judge", "pair", "P1", "P2", "--light", "D65", "--who", " "), ""),
    "judge in another session": (
        ("spray", "judge", "pair", "P1", "P2", "--light", "D65", "--session", "Weir cover"), "no session"),
}  # fmt: skip


def test_what_was_seen_wrongly_is_refused_and_not_kept(shop):
    shop.said("spray", "coat", "all")
    for name, shade in (("three.png", 3), ("four.png", 4)):
        (shop.folder / name).write_bytes(png(shade))
    shop.said("spray", "picture", "three.png", "--piece", "P1", "--light", "D65")
    for case, (words, said) in COATED.items():
        before = shop.everything()
        status, _, err = shop(*words)
        assert status == 1, (case, status, err)
        assert "fault in sprayout" not in err
        assert said in err.lower().replace("\n", " "), (case, err)
        after = shop.everything()
        assert after == before, case


@pytest.mark.parametrize("case", REFUSED)
def test_refused_in_words_and_nothing_changed(settled, case):
    words, said = REFUSED[case]
    before = settled.everything()
    status, _, err = settled(*words)
    assert status in (1, 2), (case, status, err)
    assert "fault in sprayout" not in err
    assert said.lower() in err.lower().replace("\n", " "), (case, err)
    assert err.strip()
    after = settled.everything()
    assert after == before, {name for name in after.keys() ^ before.keys()} | {
        name for name in after.keys() & before.keys() if after[name] != before[name]
    }
