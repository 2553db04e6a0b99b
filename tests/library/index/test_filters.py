"""Every way of asking, on a small invented shop: what is found, what is not, and why it is said to be found."""

import hashlib
import re

import pytest
from tests.library.index.test_index import GRID, names, reading
from tests.library.shops import Put

from sprayout_core.compare import edit, join
from sprayout_core.documents import proofs
from sprayout_core.errors import SprayoutError
from sprayout_library.index import Index, Near, Question, Uses, doubles, find, read_target, rows, words
from sprayout_library.index.conditions import conditions_of

LEVELS = {"P-1": 0.2, "P-2": 0.3, "P-3": 0.5}


@pytest.fixture
def shop(bench):
    """Two grounds, one mix under two titles, three panels, judgements, a standard, pictures."""
    store = bench.shop("a")
    bronze = bench.material(store, "bronze", role="metallic")
    graphite = bench.material(store, "graphite", role="metallic")
    teal = bench.material(store, "Mölle teal", tags=["granular"])
    kelp = bench.formula(store, "Kelp glass", {teal.id: 1})
    twin = bench.formula(store, "Weed glass", {teal.id: 1})
    held = {one.id: one for one in (bronze, graphite, teal, kelp, twin)}
    coats = [{"formula": kelp.id, "count": "3"}]
    pinned = proofs(kelp, held.get)
    grounds = {"P-1": bronze, "P-2": graphite, "P-3": graphite}
    panels = {
        label: bench.made(
            store, "panel",
            {"label": label, "coats": coats, "proofs": pinned, "ground": {"kind": "material", "id": ground.id}},
        )
        for label, ground in grounds.items()
    }  # fmt: skip
    recipe = bench.made(store, "recipe", {
        "title": "Kelp fade", "grounds": [{"kind": "material", "id": bronze.id}],
        "coats": [{"formula": kelp.id, "count": "3"}],
        "standards": {bronze.id: {"panel": panels["P-1"].id}},
    })  # fmt: skip
    bench.save(store, *held.values(), *panels.values(), recipe)
    return bench, store, {**panels, "teal": teal, "kelp": kelp, "twin": twin, "recipe": recipe}


def found(index, **question):
    return {one.what.name: "; ".join(one.because) for one in find(index, Question(**question)).found}


def test_the_same_mix_over_other_grounds(shop):
    bench, store, made = shop
    with Index.open(store) as index:
        same = found(index, same_as=index.named("Weed glass"))
        assert same["Kelp glass"] == "the same mix as Weed glass"
        assert same["P-1"].endswith("over bronze")
        assert same["P-2"].endswith("over graphite")
        assert "Kelp fade" in same
    bench.edit(store, made["kelp"].id, Put("mix", {"basis": "volume", "items": {
        made["teal"].id: {"kind": "material", "ratio": 3}, bench_dye(bench, store): {"kind": "material", "ratio": 2},
    }}))  # fmt: skip
    with Index.open(store) as index:  # what the panels prove is not that mix any more, and is not said to be
        assert found(index, same_as=index.named("Kelp glass")) == {"Kelp fade": "sprays the same mix as Kelp glass"}
        assert found(index, same_as=index.named("Weed glass")) == {}


def bench_dye(bench, store):
    dye = bench.material(store, "strong moss")
    bench.save(store, dye)
    return dye.id


def test_what_a_mix_holds_now_is_not_said_of_panels_of_before(shop):
    bench, store, made = shop
    bench.save(store, reading(bench, store, made["P-1"], 0.2))
    with Index.open(store) as index:
        near = Near(read_target(index, "50 0 0"))
        uses = (Uses(index.named("mölle teal"), 60, 100),)
        assert "100 % Mölle teal by volume" in found(index, near=near, uses=uses)["P-1"]
    bench.edit(store, made["kelp"].id, Put("mix", {"basis": "volume", "items": {
        made["teal"].id: {"kind": "material", "ratio": 3}, bench_dye(bench, store): {"kind": "material", "ratio": 1},
    }}))  # fmt: skip
    with Index.open(store) as index:
        near = Near(read_target(index, "50 0 0"))
        assert found(index, near=near, uses=(Uses(index.named("mölle teal"), 60, 100),)) == {}
        assert "of Kelp glass: its name" in found(index, near=near, words="kelp")["P-1"]


def judgement(bench, store, panels, quality="warmer", **facts):
    pieces = [[{"panel": panel.id}] for panel in panels]
    said = {"way": "order", "quality": quality, "light": "D65", "by": "ada", "at": "2026-03-02T09:10:00Z"}
    return bench.made(store, "judgement", {**said, "pieces": pieces, **facts})


def test_judged_by_eye(shop):
    bench, store, made = shop
    seen = judgement(bench, store, [made["P-1"], made["P-2"]])
    bench.save(store, seen)
    with Index.open(store) as index:
        assert found(index, judged="warmer") == {
            "P-1": "by eye: warmer, place 1 of 2", "P-2": "by eye: warmer, place 2 of 2",
            f"…{seen.id[-6:]}": "a judgement: warmer",
        }  # fmt: skip
        with pytest.raises(SprayoutError, match="nothing was judged 'cleaner'"):
            find(index, Question(judged="cleaner"))
    bench.withdraw(store, seen.id)
    with Index.open(store) as index, pytest.raises(SprayoutError):
        find(index, Question(judged="warmer"))


def test_held_against_another(shop):
    bench, store, made = shop
    beside = {"way": "compare", "against": {"panel": made["P-2"].id}}
    bench.save(store, judgement(bench, store, [made["P-1"]], "deeper", **beside))
    with Index.open(store) as index:
        judged = found(index, judged="deeper", kinds=("panel",))
    assert judged == {"P-1": "by eye: deeper than P-2", "P-2": "by eye: what another was deeper than"}


def test_who_asks_for_panels_is_told_of_those_of_what_is_found(shop):
    _, store, _ = shop
    with Index.open(store) as index:
        assert found(index, words="fade", kinds=("panel",)) == {}  # they name no recipe
        assert found(index, words="kelp", kinds=("panel",)) == dict.fromkeys(LEVELS, "of Kelp glass: its name")
        assert found(index, words="p-1", kinds=("panel",)) == {"P-1": "its label"}
        uses = (Uses(index.named("mölle teal"), 60, 100),)
        panels = found(index, uses=uses, kinds=("panel",))
        assert panels == dict.fromkeys(LEVELS, "of Kelp glass: 100 % Mölle teal by volume")


def test_a_name_that_nothing_bears_is_answered_with_those_it_may_mean(shop):
    _, store, _ = shop
    with Index.open(store) as index:
        for text, kind, like in (("molle", "material", "Mölle teal"), ("Kelp glas", "formula", "Kelp glass"),
                                 ("P-9", "panel", "P-[123]")):  # fmt: skip
            with pytest.raises(SprayoutError) as refused:
                index.named(text, kind)
            assert re.search(f"Did you mean .*{like}", refused.value.fault.remedy)


def test_a_standard_that_is_old_or_was_never_measured(shop):
    bench, store, made = shop
    with Index.open(store) as index:
        old = found(index, old_before="2026-01-01T00:00:00Z")
        assert old == {"Kelp fade": "its standard P-1 was never measured"}
    bench.save(store, reading(bench, store, made["P-1"], 0.2, measured_at="2024-03-02T09:10:00Z"))
    with Index.open(store) as index:
        old = found(index, old_before="2026-01-01T00:00:00Z")
        assert old == {"Kelp fade": "its standard P-1 was last measured 2024-03-02"}
    bench.save(store, reading(bench, store, made["P-1"], 0.21, measured_at="2026-02-02T09:10:00Z"))
    with Index.open(store) as index:
        assert found(index, old_before="2026-01-01T00:00:00Z") == {}


def test_two_answers(shop):
    bench, store, made = shop
    one = edit(store.get(made["kelp"].id), "aaaaaa", [Put("title", "Kelp one")], "2026-03-02T09:11:00Z")
    other = edit(store.get(made["kelp"].id), "bbbbbb", [Put("title", "Kelp two")], "2026-03-02T09:12:00Z")
    with Index.open(store) as index:
        assert found(index, evidence=frozenset({"two-answers"})) == {}
    bench.saved(store, join(one, other))
    with Index.open(store) as index:
        [(_, why)] = found(index, evidence=frozenset({"two-answers"})).items()
        assert why == "two answers"


def test_colour_by_stage_and_in_several_lights(shop):
    bench, store, made = shop
    slope = [round(0.1 + 0.02 * place, 5) for place in range(16)]
    cleared = {"stage": {"surface": "cleared"},
               "measured": [{"geometry": "45:0", "spectrum": {**GRID, "values": slope}}]}  # fmt: skip
    readings = [reading(bench, store, made[label], level) for label, level in LEVELS.items()]
    bench.save(store, *readings, reading(bench, store, made["P-3"], 0.2, **cleared))
    with Index.open(store) as index:
        target = read_target(index, "P-1")
        assert list(found(index, near=Near(target))) == ["P-2", "P-3"]  # bare with bare only
        assert list(found(index, near=Near(target, stage="cleared"))) == ["P-3"]
        assert list(found(index, near=Near(read_target(index, "45:0=40 0 0"), stage="cleared"))) == ["P-3"]
        with pytest.raises(SprayoutError, match="no stage"):
            find(index, Question(near=Near(target, stage="sanded")))
        lights = read_target(index, "P-1", lights=("D65", "A"))
        far = [find(index, Question(near=Near(read_target(index, "P-1", lights=(one,))))) for one in ("D65", "A")]
        both = find(index, Question(near=Near(lights)))
        for place, one in enumerate(both.found):
            assert one.difference == max(shown.found[place].difference for shown in far)
        limit = both.found[0].difference
        assert list(found(index, near=Near(lights, within=limit))) == ["P-2"]
        whole = find(index, Question(near=Near(read_target(index, readings[1].id[-8:], content=store.content))))
        assert (whole.found[0].what.name, whole.found[0].difference) == ("P-2", 0)


def test_what_stands_twice(shop):
    bench, store, made = shop
    row = {"at": "2026-03-02T09:10:00Z", "tool": "tests", "by": "ada", "source": digest_of("table"),
           "source_place": "row 3"}  # fmt: skip
    one = reading(bench, store, made["P-1"], 0.2)
    other = reading(bench, store, made["P-2"], 0.2)
    sourced = [
        bench.made(store, "reading", {
            "panel": made[label].id, "stage": {"surface": "bare"}, "grade": "spectrum", "measured_at": at,
            "measured": [{"geometry": "45:0", "spectrum": {**GRID, "values": [level] * 16}}],
        }).model_copy(update={"provenance": one.provenance.model_copy(update=row)})
        for label, at, level in (("P-1", "2026-03-02T09:10:00Z", 0.3), ("P-3", "2026-03-02T09:20:00Z", 0.4))
    ]  # fmt: skip
    pictures = [
        bench.made(
            store,
            "picture",
            {"image": digest_of("image"), "media": "image/jpeg", "bytes": 1834, "shows": [{"panel": made[label].id}]},
        )
        for label in ("P-1", "P-2")
    ]
    bench.save(store, one, other, *sourced, *pictures)
    with Index.open(store) as index:
        said = {double.why: set(double.ids) for double in doubles(index, store)}
    assert said == {
        "one composition under several titles": {made["kelp"].id, made["twin"].id},
        "the very same figures on several panels": {one.id, other.id},
        "one place of one source, taken in several times": {sourced[0].id, sourced[1].id},
        "one image in several pictures": {picture.id for picture in pictures},
    }


def digest_of(text):
    return "sha256:" + hashlib.sha256(text.encode()).hexdigest()


ASKED = ("molle", "MÖLLE tea", "gran", "kelp", "glass weed", "p", "bronze", "nothing", "teal gran")


def test_words_are_found_alike_without_full_text_search(shop, monkeypatch):
    _, store, _ = shop

    def answers():
        with Index.open(store, anew="a test") as index:
            return index.levels[0].words, {text: found(index, words=text) for text in ASKED}

    fast, with_index = answers()
    monkeypatch.setattr(rows, "_WORDS", "CREATE VIRTUAL TABLE words USING nosuchmodule (title)")
    slow, without = answers()
    assert (fast, slow) == (True, False)
    assert without == with_index
    assert with_index["molle"] == {"Mölle teal": "its name", "Kelp glass": "what is in it: Mölle teal",
                                   "Weed glass": "what is in it: Mölle teal"}  # fmt: skip
    assert with_index["nothing"] == {}


def test_words_are_compared_without_case_and_accents():
    assert words.tokens("Mölle-TEAL_2, Straße") == ["molle", "teal", "2", "straße"]


def test_what_is_asked_for_and_cannot_be_is_told(shop):
    _, store, _ = shop
    with Index.open(store) as index:
        kelp = index.named("Kelp glass")
        for question in (Question(uses=(Uses(kelp, 1, 2),)), Question(), Question(words="—")):
            with pytest.raises(SprayoutError):
                find(index, question)
        assert conditions_of(index, Question(words="teal")) == []
        assert names(index, kinds=("recipe",)) == ["Kelp fade"]
