"""An invented shop that keys its sealer: grounds that are mixes are predicted from what was read of their parts."""

import json

import numpy as np
import pytest

from sprayout_core.film import clear_layer, hazy_layer, inner_to_cleared, opaque_mix
from sprayout_library.cli.main import run

NM = np.arange(400.0, 701.0, 10.0)
#: Absorption and scattering by volume; invented.
PARTS = {
    "white sealer": (0.006 + 0.06 * np.exp(-(((NM - 400) / 20) ** 2)), np.ones(31)),
    "plum base": (0.08 + 1.9 * np.exp(-(((NM - 545) / 60) ** 2)), np.full(31, 0.35)),
    "moss": (1.3 * np.exp(-(((NM - 430) / 50) ** 2)) + 0.9 * np.exp(-(((NM - 660) / 55) ** 2)), np.zeros(31)),
}
DYE = 0.02 + 0.3 * np.exp(-(((NM - 600) / 60) ** 2))


def ground(**parts):
    shares = {name.replace("_", " "): part for name, part in parts.items()}
    whole = sum(shares.values())
    K, S = (np.array([PARTS[name][place] for name in shares]) for place in (0, 1))
    return inner_to_cleared(opaque_mix(K, S, [part / whole for part in shares.values()]), "45:0")


READ = {
    "G-1": ground(white_sealer=1),
    "G-2": ground(plum_base=1),
    "G-3": ground(white_sealer=6, plum_base=1),
}
COMMANDS = (
    ("create", "lib", "--shop", "Reed Lane (invented)"),
    ("mix", "Plum tint = 6 white sealer : 1 plum base", "--new", "white sealer=sealer", "--new", "plum base=solid"),
    ("mix", "Plum key = 13 white sealer : 1 plum base"),
    ("mix", "Moss key = 15 white sealer : 1 moss", "--new", "moss=dye"),
    ("mix", "Lake = 3 lake blue : 8 clear carrier", "--new", "lake blue=dye", "--new", "clear carrier=carrier"),
    ("recipe", "Lake fade", "--over", "white sealer", "--over", "plum base", "--over", "Plum tint", "--over",
     "Plum key", "--over", "Moss key", "--coat", "3 Lake"),
    ("panel", "Lake fade", "--over", "white sealer", "--label", "G-1", "--steps", "0,1,2,4", "--stage", "cleared"),
    ("panel", "Lake fade", "--over", "plum base", "--label", "G-2", "--steps", "0", "--stage", "cleared"),
    ("panel", "Lake fade", "--over", "Plum tint", "--label", "G-3", "--steps", "0", "--stage", "cleared"),
)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("keyed")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(place / "machine"))
        patch.delenv("SPRAYOUT_LIBRARY", raising=False)
        patch.chdir(place)
        for words in COMMANDS:
            assert run(["--by", "ada", *words]) == 0, words
        rows = {f"{label}/0": values for label, values in READ.items()}
        rows |= {f"G-1/{coats}": clear_layer(READ["G-1"], coats * 3 / 11 * DYE * 4, "45:0") for coats in (1, 2, 4)}
        lines = [",".join(["Name", *(f"{nm:.0f}" for nm in NM)])]
        lines += [",".join([label, *(f"{value:.5f}" for value in values)]) for label, values in rows.items()]
        (place / "read.csv").write_text("\n".join([*lines, ""]))
        told = ("--set", "scale=unit", "--set", "geometry=45:0", "--set", "stage=cleared")
        assert run(["--by", "ada", "import", "read.csv", *told, "--yes"]) == 0
    return place


@pytest.fixture
def shop(folder, sit_down):
    return sit_down(folder)


def test_a_keyed_ground_that_nobody_read_is_predicted_over(shop):
    from sprayout_core.difference import ciede2000
    from sprayout_core.light import View, colour

    status, out, err = shop("grid", "Lake", "--over", "Plum key", "--coats", "2", "--json")
    assert (status, err) == (0, "")
    told = json.loads(out)
    (cell,) = told["cells"]
    truth = clear_layer(ground(white_sealer=13, plum_base=1), 2 * 3 / 11 * DYE * 4, "45:0")
    lab = colour(truth, NM, View()).lab
    assert float(ciede2000(np.array(lab), np.array(cell["lab"]))) < 1.0 < cell["interval"]
    assert any("Plum key was never read: computed" in note for note in told["notes"])
    plain = json.loads(shop("grid", "Lake", "--over", "Plum tint", "--coats", "2", "--json")[1])
    assert plain["cells"][0]["interval"] < cell["interval"]
    assert not any("computed" in note for note in plain["notes"])


def test_it_serves_wherever_a_ground_does(shop):
    assert "Plum key" in shop("grid", "Lake", "--coats", "2")[1]
    assert "over Plum key" in shop("forgive", "Lake", "--over", "Plum key")[1]
    assert "over Plum key" in shop("reach", "45 10 -20", "--over", "Plum key")[1]
    assert "over Plum key" in shop("repair", "Lake", "--over", "Plum key", "--coats", "3")[1]


def test_what_is_missing_of_its_parts_is_said(shop):
    """Nobody sprayed a tint of moss with the white."""
    status, _, err = shop("grid", "Lake", "--over", "Moss key")
    assert status == 1
    assert "Moss key has no reading" in err
    assert "about 1 moss : 6 white sealer, until it hides" in err
    assert "Moss key" not in shop("grid", "Lake", "--coats", "2")[1]


#: Absorption and scattering of one coat; invented.
COATS = {
    "chalk": (0.01 + 0 * NM, 1.1 + 0.0008 * (550 - NM)),
    "ochre": (0.04 + 1.2 / (1 + np.exp((NM - 510) / 22)), np.full(31, 0.6)),
}
CARD = {"over white": 0.82 + 0 * NM, "over black": 0.03 + 0 * NM}
OVER_CARD = (
    ("create", "card-lib", "--shop", "Reed Lane (invented)"),
    ("material", "card", "--role", "solid"),
    ("mix", "Chalk neat = 1 chalk", "--new", "chalk=solid"),
    ("mix", "Ochre neat = 1 ochre", "--new", "ochre=solid"),
    ("mix", "Sand key = 8 chalk : 1 ochre"),
    *(("recipe", f"{name} card", "--over", "card", "--coat", f"3 {name} neat") for name in ("Chalk", "Ochre")),
    *(
        ("panel", f"{name} card", "--label", label, "--zone", "over_white", "--zone", "over_black", "--steps",
         "0,1,2,3", "--stage", "cleared")
        for name, label in (("Chalk", "CH-1"), ("Ochre", "OC-1"))
    ),
)  # fmt: skip


def test_parts_learned_over_white_and_black_make_a_ground_too(tmp_path, monkeypatch, capsys):
    from sprayout_core.difference import ciede2000
    from sprayout_core.light import View, colour
    from sprayout_library.film.knowing import known
    from sprayout_library.record import Names
    from sprayout_library.store import Store

    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
    monkeypatch.chdir(tmp_path)
    for words in OVER_CARD:
        assert run(["--by", "ada", *words]) == 0, words
    lines = [",".join(["Name", *(f"{nm:.0f}" for nm in NM)])]
    for name, label in (("chalk", "CH-1"), ("ochre", "OC-1")):
        K, S = COATS[name]
        for coats in (0, 1, 2, 3):
            for zone, under in CARD.items():
                seen = hazy_layer(under, coats * K, coats * S, "45:0") if coats else under
                lines.append(",".join([f"{label}/{coats}/{zone}", *(f"{value:.5f}" for value in seen)]))
    (tmp_path / "read.csv").write_text("\n".join([*lines, ""]))
    told = ("--set", "scale=unit", "--set", "geometry=45:0", "--set", "stage=cleared")
    assert run(["--by", "ada", "import", "read.csv", *told, "--yes"]) == 0
    capsys.readouterr()
    with Store.open(tmp_path / "card-lib") as store:
        key = Names(store).find("Sand key", "formula").id
        made = known(store).ground(key, "Sand key")
    K, S = (np.array([COATS[name][place] for name in ("chalk", "ochre")]) for place in (0, 1))
    truth = inner_to_cleared(opaque_mix(K, S, [8 / 9, 1 / 9]), "45:0")
    assert made.computed
    labs = [np.array(colour(values, NM, View()).lab) for values in (truth, made.reading("45:0"))]
    assert float(ciede2000(*labs)) < 1.5
