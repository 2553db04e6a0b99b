"""Plugins are found by entry point, each by itself; a foreign one as an installable package of its own."""

import importlib
import inspect
import subprocess
import sys
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import in_memory
from sprayout_plugins import guard, hooks, instrument_csv, kit, measurement_table, registry

HERE = Path(__file__).parent
LIST = in_memory("bench.lst", b"bench list\nkelp | 41.5 | -20.25 | 3.5\n(shelf two)\nfern | 51.5 | -30.25 | 4.5\n")


def point(name, value):
    return EntryPoint(name, value, hooks.GROUP)


def test_our_own_plugins_are_found_and_run_here():
    found = {plugin.name: plugin for plugin in guard.describe(registry.find())}
    for name in ("instrument_csv", "measurement_table"):
        assert (found[name].runs, found[name].contract) == ("here", "1.0")
        assert {"preview_table", "read_table"} <= set(found[name].hooks)


def test_one_that_does_not_load_leaves_the_others():
    plugins = registry.find(
        [
            point("z_good", "sprayout_plugins.instrument_csv"),
            point("broken", "a_module_nobody_has"),
            point("no_plugin", "textwrap"),
            point("z_good", "sprayout_plugins.measurement_table"),
        ]
    )
    assert [plugin.name for plugin in plugins.listed] == ["z_good"]
    told = {left.name: left.reason for left in plugins.left_out}
    assert "ModuleNotFoundError" in told["broken"]
    assert "sprayout_contract = None" in told["no_plugin"]
    assert told["z_good"] == "another plugin already has this name"


@pytest.mark.parametrize("contract", ["0.9", "1.99", "2.0", "1", 1.0, None])
def test_contracts_that_are_not_spoken_are_refused(contract):
    module = type(registry)("a_plugin")
    module.sprayout_contract = contract
    with pytest.raises(SprayoutError, match=r"speaks 1\.0"):
        registry.of_modules([module])


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The example package, installed as a stranger's package would be, into a folder of its own."""
    target = tmp_path_factory.mktemp("site")
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-build-isolation"]
    subprocess.run([*install, "--target", str(target), str(HERE / "example_package")], check=True, capture_output=True)
    return target


def test_the_example_package_is_found_and_runs_apart(site, monkeypatch):
    monkeypatch.setattr(sys, "path", [*sys.path, str(site)])
    plugins = registry.find()
    described = {plugin.name: plugin for plugin in guard.describe(plugins)}["bench_list"]
    assert (described.runs, described.contract) == ("apart", "1.0")
    assert described.hooks == ("preview_table", "read_table")
    assert described.origin == "bench_list of bench-list 0.3.0"
    assert "bench_list" not in sys.modules

    told = {"stage": "cleared"}
    (mine,) = (
        one for one in guard.ask(plugins, "preview_table", source=LIST, options=told) if one.plugin == "bench_list"
    )
    assert (mine.failure, mine.value.readings, mine.value.ready) == (None, 2, True)
    found = list(guard.ask_one(plugins, "bench_list", "read_table", source=LIST, options=told))
    assert [one.label for one in found if hasattr(one, "label")] == ["kelp", "fern"]
    assert found[0].coordinates == {"L*": 41.5, "a*": -20.25, "b*": 3.5}


def test_the_example_keeps_the_contract(monkeypatch):
    monkeypatch.setattr(sys, "path", [*sys.path, str(HERE / "example_package")])
    readings = kit.check_reader(importlib.import_module("bench_list"), LIST, {"stage": "cleared"})
    assert [reading.label for reading in readings] == ["kelp", "fern"]


def test_our_own_readers_keep_the_contract():
    csv = in_memory("a.csv", b"Sample;R400;R410;R420;R430;R440\na;.1;.2;.3;.4;.5\nb;.1;.2;.3;.4;.6\n;;;;;\n")
    told = {"scale": "unit", "geometry": "45:0", "stage": "bare"}
    assert len(kit.check_reader(instrument_csv, csv, told)) == 2
    readings = kit.check_reader(instrument_csv, csv, told)
    written = measurement_table.write_table(readings, "iso28178", {})
    assert len(kit.check_reader(measurement_table, in_memory("a.txt", written.content), {})) == 2


def test_the_kit_finds_what_breaks_the_contract(monkeypatch):
    monkeypatch.setattr(sys, "path", [*sys.path, str(HERE / "oldest")])
    oldest = importlib.import_module("oldest_plugin")
    with pytest.raises(SprayoutError) as found:
        kit.check_reader(oldest, in_memory("a.oldest", b""), {})
    told = str(found.value)
    assert "an unknown option is passed over" in told
    assert "1 readings and 0 lines left out in the preview, 1 and 1 when read" in told


def test_the_oldest_plugin_goes_on_working(monkeypatch):
    monkeypatch.setattr(sys, "path", [*sys.path, str(HERE / "oldest")])
    plugins = registry.of_modules([importlib.import_module("oldest_plugin")])
    question = {"source": in_memory("a.oldest", b""), "options": {}}
    (seen,) = guard.ask(plugins, "preview_table", **question)
    assert (seen.value.readings, seen.value.ready) == (1, True)
    left_out, reading = guard.ask_one(plugins, "oldest_plugin", "read_table", **question)
    assert (left_out.line, reading.values) == (1, (0.1, 0.2, 0.3))
    written = guard.ask_one(plugins, "oldest_plugin", "write_table", readings=[reading], shape="oldest", options={})
    assert written.content == b"tern"


def test_finding_plugins_loads_neither_models_nor_arrays_nor_printing():
    """A command that asks for one plugin starts without the others' libraries."""
    program = (
        "import sys\nfrom sprayout_plugins import registry\n"
        "assert len(registry.find().listed) >= 7\n"
        "print(sorted({'numpy', 'pydantic', 'reportlab', 'pyvips', 'segno'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("room", ["bench_sheet", "card_frame", "card_scan", "panel_label"])
def test_every_public_name_of_a_room_is_there(room):
    module = importlib.import_module(f"sprayout_plugins.{room}")
    for name in module.__all__:
        assert not inspect.ismodule(getattr(module, name))
    with pytest.raises(AttributeError):
        getattr(module, "nothing of this name")
