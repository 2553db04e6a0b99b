"""A schedule written anew is what was typed, in its order, and a line that stays is the same line."""

import json

import pytest


def schedule(shop, *coats):
    words = [word for coat in coats for word in ("--coat", coat)]
    status, _, err = shop("recipe", "Kelp fade", *words, "--anew")
    assert status == 0, err
    document = json.loads(shop("show", "Kelp fade", "--json")[1])["document"]
    order = document.get("coats_order") or []
    keys = [*order, *sorted(set(document["coats"]) - set(order), key=lambda key: int(key.rpartition(".")[2]))]
    return {key: document["coats"][key] for key in keys}


def test_a_count_changes_in_its_own_line(bench):
    before = json.loads(bench("show", "Kelp fade", "--json")[1])["document"]["coats"]
    assert list(schedule(bench, "7 Kelp glass bodied, laid wet")) == list(before)
    [coat] = schedule(bench, "4 Kelp glass bodied").values()
    assert (coat["count"], "laid" in coat) == ("4", False)


@pytest.mark.parametrize(
    "coats",
    [
        ("1 Kelp glass", "3 Kelp glass bodied"),
        ("3 Kelp glass bodied", "1 Kelp glass"),
        ("1 Kelp glass bodied", "2 Kelp glass", "3 Kelp glass bodied"),
        ("2 Kelp glass", "1 Kelp glass"),
    ],
)
def test_any_schedule_stands_as_typed(bench, coats):
    names = {
        json.loads(bench("show", name, "--json")[1])["document"]["id"]: name
        for name in ("Kelp glass", "Kelp glass bodied")
    }
    for _ in range(2):
        found = schedule(bench, *coats)
        assert [f"{coat['count']} {names[coat['formula']]}" for coat in found.values()] == list(coats)


def test_anew_without_coats_is_refused(bench):
    status, _, err = bench("recipe", "Kelp fade", "--anew")
    assert status == 1 and "--coat" in err
