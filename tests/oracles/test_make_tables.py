"""The packaged tables are what the script makes, and carry their source and licence."""

import importlib.util
from importlib import resources
from pathlib import Path

import pytest

from sprayout_core.light import ILLUMINANTS, OBSERVERS
from sprayout_core.light.tables import illuminant_names


@pytest.fixture(scope="module")
def made():
    spec = importlib.util.spec_from_file_location("make_tables", Path(__file__).with_name("make_tables.py"))
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script.tables()


def packaged():
    folder = resources.files("sprayout_core.light").joinpath("tables")
    return {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir() if file.name.endswith(".csv")}


def test_packaged_tables_are_what_the_script_makes(made):
    assert packaged() == made


def test_every_table_begins_with_source_and_licence():
    for text in packaged().values():
        first, second = text.splitlines()[:2]
        assert first.startswith("# source: ")
        assert second.startswith("# licence: ")


def test_every_named_light_and_observer_has_its_table():
    assert illuminant_names() == ILLUMINANTS
    assert {f"observer_{degrees}.csv" for degrees in OBSERVERS} < set(packaged())
