"""Gives tests a bench with invented shops; the tools are kept once, beside the tests of sync."""

import importlib.util
import sys
from pathlib import Path

import pytest

_TOOLS = "tests/library/sync/shops.py"
_PLACE = next(up / _TOOLS for up in Path(__file__).parents if (up / _TOOLS).exists())


def _tools():
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
