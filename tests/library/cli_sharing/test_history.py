"""History as it is read: one thing's versions with shops and panels, the whole library by days, and refusals."""

import json
from datetime import date, timedelta


def test_versions_tell_shop_and_panel_and_the_library_tells_who_did_what(apart):
    reed, _ = apart
    told = reed.said("history", "Sedge")
    assert "ada, Heath shop" in told
    assert "sprayed as SR-1" in told
    assert "sprayed as SH-1" in told
    library = reed.said("history")
    assert "Sedge  (mix, new)" in library
    assert "Heath shop: Mix Sedge" in library
    assert "sprayed: SR-1, SH-1" in library
    day_before = date.today() - timedelta(days=1)  # midnight may have passed since the shops began
    assert library == reed.said("history", "--since", day_before.isoformat())
    data = json.loads(reed.said("history", "--json"))
    assert {one["name"] for one in data["evidence"]} == {"SR-1", "SH-1"}
    assert "Nothing changed" in reed.said("history", "--until", "2020-01-01")
    assert "nothing changed in that time" in reed.said("history", "Sedge", "--until", "2020-01-01")


def test_days_that_are_none_are_refused(reed):
    assert "is no day" in reed.refused("history", "--since", "yesterday")
    assert "comes before" in reed.refused("history", "--since", "2026-03-02", "--until", "2026-03-01")
    assert "sprayout history --since 2026-03-02" in reed.refused("compare", "@2026-03-02")
    assert "nothing is called" in reed.refused("history", "Nobody").lower()
