"""Two commands at one moment: what is right whatever the other saved is done anew, all else is refused by name."""

from sprayout_core.compare import Add
from sprayout_library.record import Writer
from sprayout_library.store import Store


def meanwhile(shop, monkeypatch, what):
    """Let another command save a remark on a thing just before the next one saves."""
    save, waiting = Writer.save, [what]

    def saving(writer, documents, message):
        if waiting:
            waiting.pop()
            with Store.open(shop.library) as store:
                held = next(one for one in store.documents("formula") if one.name == what)
                other = Writer(store, "bo")
                save(other, [other.edited(held, [Add("notes", {"text": "meanwhile", "by": "bo"})])], "Meanwhile")
        return save(writer, documents, message)

    monkeypatch.setattr(Writer, "save", saving)


def test_a_remark_is_made_whatever_was_saved_meanwhile(shops, monkeypatch):
    reed, _ = shops
    meanwhile(reed, monkeypatch, "Sedge")
    reed.said("note", "Sedge", "my own")
    shown = reed.said("show", "Sedge")
    assert "my own" in shown
    assert "meanwhile" in shown


def test_a_mix_written_anew_meanwhile_is_refused_by_its_name(shops, monkeypatch):
    reed, _ = shops
    meanwhile(reed, monkeypatch, "Sedge")
    status, _, err = reed("mix", "Sedge = 7 weak moss : 1 strong moss")
    assert status == 1
    assert err.startswith("Sedge: was changed by another command")
    assert "7 weak moss" not in reed.said("show", "Sedge")
