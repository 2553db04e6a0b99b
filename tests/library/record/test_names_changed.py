"""Names after a save are those of a library read anew, whatever was asked of them before."""

from hypothesis import given
from hypothesis import strategies as st

from sprayout_library.record import Entry, Names

TITLES = ("", "Kelp", "kelp ", "Moss", "Fern lane")
entries = st.builds(
    lambda number, kind, title, label, alias, withdrawn: Entry(
        f"01926f39-0000-7e8a-b6c7-{number:012x}", kind, title, label, "", (alias,) if alias else (), withdrawn, ()
    ),
    st.integers(0, 9), st.sampled_from(("formula", "panel", "material")), st.sampled_from(TITLES),
    st.sampled_from(("", "P1", "kelp")), st.sampled_from(TITLES), st.booleans(),
)  # fmt: skip


def said(names):
    return (
        [list(names.of_kind(*kinds)) for kinds in ((), ("formula",), ("panel", "material"))],
        [sorted(one.id for one in names.matching(text)) for text in ("kelp", "Moss", "p1", "fern lane", "0003")],
        [names.label(f"01926f39-0000-7e8a-b6c7-{number:012x}") for number in range(10)],
        names.in_question(),
    )


@given(st.lists(entries, max_size=8), st.lists(entries, max_size=4), st.sets(st.integers(0, 9), max_size=3))
def test_names_after_a_change_are_those_read_anew(before, fresh, gone):
    names = Names.of(before)
    said(names)
    taken = {f"01926f39-0000-7e8a-b6c7-{number:012x}": None for number in gone}
    changes = {**taken, **{one.id: one for one in fresh}}
    after = {**{one.id: one for one in before}, **changes}
    anew = Names.of(one for one in after.values() if one is not None)
    told = said(names)
    assert said(names.changed(changes)) == said(anew)
    assert said(names) == told  # what was known before stands as it was
    assert said(Names.of(before).changed(changes)) == said(anew)  # nothing was asked before
