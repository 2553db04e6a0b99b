"""A recipe's card by a public link: shown to whoever has it, with nothing private on it, until it is withdrawn."""

import re

import pytest

from sprayout_library.hub.door import csrf_of
from sprayout_library.record import Names, Writer, mix_from_line, now_text, panel_facts, recipe_facts

PRIVATE = ("adaquill", "sedge yard", "hush-note", "hush-tag", "KF-secret", "lot-secret", "hush-alias")


@pytest.fixture
def live(fresh):
    made = fresh(guesses=6)
    with made.hub.store("co-op") as store:
        made.recipe = written(store)
    return made


def written(store):
    """A recipe with everything that nobody else is to see around it."""
    from datetime import UTC, datetime

    from tests.library.pages_shop import reading, spectrum

    from sprayout_core.mix import parse_line

    now = datetime.now(UTC)
    writer = Writer(store, "adaquill")
    notes = {"notes": [{"text": "hush-note", "by": "adaquill", "at": now_text(now)}], "tags": ["hush-tag"]}
    materials = [
        writer.new("material", {"title": name, "role": role, **notes, **more})
        for name, role, more in (
            ("weak teal", "dye", {"cautions": ["solvent"], "lots": ["lot-secret"]}), ("strong teal", "dye", {}),
            ("clear carrier", "carrier", {}), ("bright aluminium", "metallic", {}), ("bronze", "metallic", {}),
            ("two-pack gloss", "clear", {"cautions": ["isocyanate"]}),
        )
    ]  # fmt: skip
    writer.save([*materials, writer.new("shop", {"title": "sedge yard"})], "x")
    for line in ("Kelp glass = 5 weak teal : 2 strong teal", "Kelp glass bodied = 9 clear carrier : 2 Kelp glass"):
        facts = {"title": line.partition(" =")[0], "mix": mix_from_line(parse_line(line), Names(store)), **notes}
        writer.save([writer.new("formula", facts)], "x")
    facts = recipe_facts("Kelp fade", ["bright aluminium", "bronze"], ["5 Kelp glass bodied, laid medium"],
                         "two-pack gloss", Names(store))  # fmt: skip
    recipe = writer.new("recipe", {**facts, **notes, "aliases": ["hush-alias"]})
    writer.save([recipe], "x")
    ground = Names(store).find("bronze", "material").id
    panel = writer.new("panel", panel_facts(recipe, ground, store.find, label="KF-secret", title="KF-secret",
                                            sprayed_at=now_text(now), stage={"surface": "bare"}))  # fmt: skip
    writer.save([panel, reading(writer, panel, [("45:0", spectrum(0.2, 500))])], "x")
    return recipe.id


def form(live, cookie, **said):
    token = csrf_of(cookie.partition("=")[2])
    return live.ask("POST", f"/l/co-op/share/card/{live.recipe}", body={"csrf": token, **said}, cookie=cookie)


def made(live, cookie):
    told = form(live, cookie, do="make").body.decode()
    return re.search(r'value="http://127\.0\.0\.1:\d+(/card/[0-9a-f]{48})"', told)[1]


def test_a_link_is_told_once_shows_the_card_and_nothing_private_until_withdrawn(live):
    cookie = live.signed_in("cal")
    path = made(live, cookie)
    shown = live.ask("GET", path)
    told = shown.body.decode()
    assert shown.status == 200
    assert (
        shown.headers["cache-control"] == "no-store"
        and "default-src 'none'" in shown.headers["content-security-policy"]
    )
    assert 'name="robots" content="noindex"' in told
    for word in ("Kelp fade", "5 coats", "laid medium", "5 weak teal : 2 strong teal", "9 clear carrier", "over bronze",
                 "two-pack gloss", "isocyanate", "data sheet", "As it was measured"):  # fmt: skip
        assert word in told, word
    assert not [word for word in (*PRIVATE, "cal", live.recipe, "/l/co-op", "co-op") if re.search(rf"\b{word}\b", told)]
    assert not re.search(r"[0-9a-f]{8}-[0-9a-f]{4}-7", told)  # no id of anything
    page = live.ask("GET", f"/l/co-op/share/card/{live.recipe}", cookie=cookie).body.decode()
    assert path not in page and "A link made by cal" in page
    kept = (live.hub.folder / "accounts" / "links.json").read_text()
    assert path.rpartition("/")[2] not in kept and path.rpartition("/")[2] not in live.log.getvalue()
    link = re.search(r'name="link" value="([0-9a-f]+)"', page)[1]
    assert form(live, cookie, do="withdraw", link=link).status == 303
    gone = live.ask("GET", path)
    assert gone.status == 404 and "leads nowhere" in gone.body.decode()
    assert form(live, cookie, do="withdraw", link=link).status in {404, 422}


def test_a_link_shows_no_other_recipe_and_who_only_reads_makes_none(live):
    reader = live.signed_in("rae")
    assert form(live, reader, do="make").status == 403
    assert (
        "Make a public link" not in live.ask("GET", f"/l/co-op/share/card/{live.recipe}", cookie=reader).body.decode()
    )
    path = made(live, live.signed_in("cal"))
    for tail in ("/", "/..", "/x", "?id=1", "0"):
        assert live.ask("GET", path + tail).status in {200 if tail == "?id=1" else 404, 307}


def test_a_recipe_out_of_use_shows_no_card_any_more(live):
    from sprayout_core.compare import withdraw

    path = made(live, live.signed_in("cal"))
    with live.hub.store("co-op") as store:
        held = store.get(live.recipe)
        store.save([withdraw(held, store.copy_id, "2030-01-01T00:00:00Z")], "x", "cal")
    assert live.ask("GET", path).status == 404


def test_guessing_links_is_slowed_as_guessing_tokens_is(live):
    path = made(live, live.signed_in("cal"))
    statuses = [live.ask("GET", f"/card/{number:048x}").status for number in range(9)]
    assert statuses == [404] * 6 + [429] * 3
    assert live.ask("GET", path).status == 200  # who has the right one is let in all the same


def test_links_are_in_the_backup(live, tmp_path):
    from sprayout_library.hub import Hub
    from sprayout_library.hub.backup import back_up, restore

    path = made(live, live.signed_in("cal"))
    back_up(live.hub, tmp_path / "b")
    restore(tmp_path / "b", tmp_path / "again")
    found = Hub.open(tmp_path / "again").links.found(path.rpartition("/")[2])
    assert found is not None and found.recipe == live.recipe


def test_who_is_in_sync_is_told(shops):
    live = shops.live
    live.person("ben", "contributor")
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    b, _ = shops.at_hub("b", "ben")
    told = live.ask("GET", "/l/co-op/share", "rae").body.decode()
    assert told.count("has everything that is here") >= 1
    shops.save(b, shops.material(b, "Moss dye"), shops.material(b, "Fern dye"), author="ben")
    shops.sync(b)
    told = live.ask("GET", "/l/co-op/share?check=yes", "rae").body.decode()
    assert "<strong>ada</strong>" in told and "lacks 2 documents that are here" in told
    assert "<strong>ben</strong>" in told
