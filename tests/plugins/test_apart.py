"""A plugin in a process of its own may do anything; only its own answer is lost, and in bounded time."""

import sys
import textwrap

import pytest

from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_core.tables import Preview, in_memory
from sprayout_plugins import apart
from sprayout_plugins.apart import Bounds

BOUNDS = Bounds(seconds=120.0, memory_bytes=1 << 29, line_bytes=1 << 16)
SHORT = Bounds(seconds=1.0, memory_bytes=1 << 29, line_bytes=1 << 16)
HEAD = """
from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Conditions, Preview, RowLeftOut, TableReading
from sprayout_plugins.hooks import answers
sprayout_contract = "1.0"
ABOUT = Conditions(geometry="45:0", stage="bare")
"""
SOURCE = in_memory("panels.csv", b"three,lines\nof,text\nhere,now\n")


@pytest.fixture
def plugin(tmp_path, monkeypatch):
    def made(body, head=HEAD):
        (tmp_path / "strange_plugin.py").write_text(head + textwrap.dedent(body), encoding="utf-8")
        return "strange_plugin"

    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    return made


def preview(module, bounds=BOUNDS):
    return apart.ask(module, "preview_table", {"source": SOURCE, "options": {"stage": "bare"}}, bounds)


def read(module, bounds=BOUNDS):
    return apart.ask(module, "read_table", {"source": SOURCE, "options": {}}, bounds)


def test_an_answer_comes_back_whole(plugin):
    module = plugin("""
        @answers
        def preview_table(source, options):
            with source.open() as stream:
                first = stream.readline().decode().strip()
            print("this goes nowhere")
            return Preview(f"{source.name} {source.size} {source.digest[:4]} {first} {dict(options)}")
    """)
    expected = f"panels.csv {SOURCE.size} {SOURCE.digest[:4]} three,lines {{'stage': 'bare'}}"
    assert preview(module) == Preview(expected)


def test_readings_come_one_at_a_time_and_may_be_left_half_way(plugin):
    module = plugin("""
        @answers
        def read_table(source):
            yield RowLeftOut(1, "a title")
            number = 1
            while True:
                number += 1
                yield TableReading("tern", number, ABOUT, (400.0, 500.0), (0.1, 0.2))
    """)
    readings = read(module)
    assert next(readings).reason == "a title"
    assert [next(readings).line for _ in range(5)] == [2, 3, 4, 5, 6]
    readings.close()


def test_not_mine_is_none(plugin):
    assert preview(plugin("@answers\ndef preview_table(source):\n    return None\n")) is None
    assert read("strange_plugin") is None


def test_a_refusal_keeps_its_faults(plugin):
    module = plugin("""
        @answers
        def preview_table(source):
            raise SprayoutError("no good", "do better", place="panels.csv, line 2")
    """)
    with pytest.raises(FaultsError) as refused:
        preview(module)
    assert str(refused.value) == "panels.csv, line 2: no good. do better"


STRANGE = {
    "raises": ("raise ValueError('oh')", "ValueError: oh"),
    "leaves Python": ("raise SystemExit(0)", "SystemExit"),
    "crashes": ("import os; os._exit(9)", "ended without finishing"),
    "answers text": ("return 'nonsense'", "no table value"),
    "answers a wrong field": ("return Preview(reader=7)", "expected str"),
    "answers a wrong list": ("return Preview('x', understood='abc')", "understood"),
    "answers no number": (
        "return Preview('x', first=(TableReading('a', 1, ABOUT, (float('nan'),), (1.0,)),))",
        "Out of range",
    ),
    "answers too much": ("return Preview('x' * 100000)", "longer than"),
    "floods memory": ("return Preview(str(len(bytearray(1 << 30))))", "MemoryError"),
    "recurses": ("return preview_table(source)", "RecursionError"),
}


@pytest.mark.parametrize("what", STRANGE)
def test_strange_answers_cost_only_themselves(plugin, what):
    body, words = STRANGE[what]
    module = plugin(f"@answers\ndef preview_table(source):\n    {body}\n")
    with pytest.raises(SprayoutError) as failed:
        preview(module)
    assert words in str(failed.value)


def test_a_hanging_plugin_is_ended(plugin):
    module = plugin("@answers\ndef preview_table(source):\n    while True:\n        pass\n")
    with pytest.raises(SprayoutError, match="silent for 1 s"):
        preview(module, SHORT)


@pytest.mark.long
def test_a_plugin_that_hangs_under_way_gave_what_it_gave(plugin):
    module = plugin("""
        @answers
        def read_table(source):
            yield TableReading("tern", 1, ABOUT, (400.0, 500.0), (0.1, 0.2))
            while True:
                pass
    """)
    readings = read(module, Bounds(seconds=8.0))
    assert next(readings).label == "tern"
    with pytest.raises(SprayoutError, match="silent for 8 s"):
        next(readings)


def test_nonsense_among_readings_is_told(plugin):
    module = plugin("@answers\ndef read_table(source):\n    yield 'nonsense'\n")
    with pytest.raises(SprayoutError, match="no table value"):
        list(read(module))


@pytest.mark.parametrize(
    ("head", "body", "words"),
    [
        (HEAD, "@answers\ndef preview_tabel(source):\n    return None\n", "unknown hook"),
        (HEAD, "@answers\ndef preview_table(path):\n    return None\n", "path"),
        (HEAD.replace('"1.0"', '"2.0"'), "", "sprayout_contract = '2.0'"),
        ("import a_module_nobody_has\n", "", "a_module_nobody_has"),
    ],
)
def test_plugins_that_do_not_fit_are_refused_by_name(plugin, head, body, words):
    with pytest.raises(SprayoutError) as refused:
        apart.describe(plugin(body, head), BOUNDS)
    assert words in str(refused.value)


def test_a_plugin_describes_itself(plugin):
    module = plugin("@answers\ndef preview_table(source):\n    return None\n")
    assert apart.describe(module, BOUNDS) == ("1.0", ("preview_table",))
