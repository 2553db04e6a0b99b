"""Gives tests a bench with invented shops; the tools are kept once, beside the tests of sync."""

import importlib.util
from pathlib import Path

import pytest

_PLACE = next(
    up / "tests/library/sync/shops.py" for up in Path(__file__).parents if (up / "tests/library/sync/shops.py").exists()
)


def _tools():
    import sys

    if "sprayout_test_shops" not in sys.modules:
        spec = importlib.util.spec_from_file_location("sprayout_test_shops", _PLACE)
        sys.modules["sprayout_test_shops"] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    return sys.modules["sprayout_test_shops"]


_tools()


@pytest.fixture
def bench(tmp_path, monkeypatch):
    bench = _tools().Bench(tmp_path, monkeypatch)
    yield bench
    bench.close()
