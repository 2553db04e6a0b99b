"""A mirror for reading: a hub whose library is a copy of another hub's, brought along by sync."""

from datetime import UTC, datetime

from tests.library.shops import state

from sprayout_library.hub import Hub
from sprayout_library.sync import clone, remotes, sync


def test_a_mirror_shows_what_the_hub_has_after_each_sync(shops, tmp_path):
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    mirror = Hub.create(tmp_path / "mirror")
    shops.as_("rae")  # a reader's token is enough
    store, _ = clone(mirror.folder / "libraries" / "co-op", shops.live.address, datetime.now(UTC))
    with store:
        assert mirror.libraries() == ["co-op"]
        shops.as_("cal")
        shops.save(a, shops.material(a, "Strong teal"))
        shops.sync(a)
        shops.as_("rae")
        sync(store, next(iter(remotes(store).values())), datetime.now(UTC))
        with mirror.store("co-op") as shown:
            assert state(shown) == state(a) and len(state(a)) == 2
    mirror.close()
