"""Plugins are asked one at a time: every answer and every failure is kept."""

import types

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Preview, RowLeftOut, in_memory
from sprayout_plugins import guard, registry
from sprayout_plugins.guard import PluginError
from sprayout_plugins.hooks import answers

SOURCE = in_memory("panels.csv", b"")
QUESTION = {"source": SOURCE, "options": {}}


def plugin(name, **hooks):
    module = types.ModuleType(name)
    module.sprayout_contract = "1.0"
    for hook, function in hooks.items():
        function.__name__ = hook
        setattr(module, hook, answers(function))
    return module


def fine(source):
    return Preview("fine", readings=1)


def broken(source):
    raise ValueError("no header row")


def refusing(source):
    raise SprayoutError("the file is empty", place="panels.csv")


def leaving(source):
    raise SystemExit(3)


def nonsense(source):
    return "a preview, surely"


def silent(source):
    return None


def test_one_broken_plugin_spoils_one_answer():
    plugins = registry.of_modules(
        [
            plugin("a", preview_table=fine),
            plugin("b", preview_table=broken),
            plugin("c", preview_table=leaving),
            plugin("d", preview_table=nonsense),
            plugin("e", preview_table=refusing),
            plugin("f", preview_table=silent),
            plugin("g", read_table=fine),
        ]
    )
    found = guard.ask(plugins, "preview_table", **QUESTION)
    assert [answer.plugin for answer in found] == list("abcdef")
    assert found[0].value == Preview("fine", readings=1)
    assert [answer.value for answer in found[1:]] == [None] * 5
    told = [str(answer.failure) if answer.failure else "" for answer in found]
    assert told[0] == told[5] == ""
    assert told[1] == "plugin b, preview_table: ValueError: no header row"
    assert "SystemExit" in told[2]
    assert "answered str, expected Preview" in told[3]
    assert [str(fault) for fault in found[4].failure.faults] == ["panels.csv: the file is empty"]


def test_a_stream_fails_where_it_fails():
    def rows(source):
        yield RowLeftOut(1, "a title")
        raise ValueError("cut here")

    def odd(source):
        yield 7

    plugins = registry.of_modules([plugin("a", read_table=rows), plugin("b", read_table=odd)])
    first, second = guard.ask(plugins, "read_table", **QUESTION)
    assert next(first.value) == RowLeftOut(1, "a title")
    with pytest.raises(PluginError, match="plugin a, read_table: ValueError: cut here"):
        next(first.value)
    with pytest.raises(PluginError, match="answered int among its readings"):
        next(second.value)


def test_one_plugin_by_name():
    plugins = registry.of_modules([plugin("a", preview_table=fine), plugin("b", preview_table=broken)])
    assert guard.ask_one(plugins, "a", "preview_table", **QUESTION).reader == "fine"
    with pytest.raises(PluginError) as failed:
        guard.ask_one(plugins, "b", "preview_table", **QUESTION)
    assert (failed.value.plugin, failed.value.question) == ("b", "preview_table")
    with pytest.raises(SprayoutError, match="Use one of: a, b"):
        guard.ask_one(plugins, "c", "preview_table", **QUESTION)
