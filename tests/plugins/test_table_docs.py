"""What docs/tables.md and docs/plugins.md promise is what the code does."""

import inspect
import re
import types
from pathlib import Path

import pytest

from sprayout_core.tables import in_memory
from sprayout_plugins import guard, hooks, kit, registry
from sprayout_plugins.instrument_csv.options import CHOICES, FREE
from sprayout_plugins.measurement_table.fields import GEOMETRY_FIELD, KEYWORDS

DOCS = Path(__file__).parents[2] / "docs"
TABLES = (DOCS / "tables.md").read_text(encoding="utf-8")
PLUGINS = (DOCS / "plugins.md").read_text(encoding="utf-8")
HOOKS = sorted(caller.name for caller in vars(registry.empty_manager().hook).values() if hasattr(caller, "name"))


def test_every_option_is_explained():
    rows = re.findall(r"^\| (`[^|]+`) \|", TABLES.split("## What is asked")[1].split("\n## ")[0], re.MULTILINE)
    told = {name for row in rows for name in re.findall(r"`(\w+)`", row)}
    assert told == set(CHOICES) | set(FREE)


@pytest.mark.parametrize("option", sorted(set(CHOICES) - {"encoding", "scale_confirmed"}))
def test_every_answer_is_named(option):
    (row,) = re.findall(rf"^\| `{option}` \|.*$", TABLES, re.MULTILINE)
    assert set(CHOICES[option]) <= set(re.findall(r"`([^`]+)`", row))


def test_our_own_keywords_are_named():
    assert all(f"`{name}`" in TABLES for name in [*KEYWORDS.values(), GEOMETRY_FIELD])


@pytest.mark.parametrize("name", HOOKS)
def test_every_hook_has_a_heading_with_its_signature_and_explains_its_arguments(name):
    function = getattr(hooks, name)
    arguments = list(inspect.signature(function).parameters)
    assert f"### {name}({', '.join(arguments)})" in PLUGINS
    for argument in [*arguments, "returns"]:
        assert re.search(rf"^    {argument} +\S", function.__doc__, re.MULTILINE), argument
    hooks.answers_to(name)


@pytest.mark.parametrize("name", HOOKS)
def test_every_hook_has_a_plugin_that_answers_it(name):
    assert any(name in plugin.hooks for plugin in guard.describe(registry.find()))


def test_the_contract_is_told():
    assert f"Contract version: **{hooks.CONTRACT}**" in PLUGINS


def test_the_template_keeps_the_contract():
    text = PLUGINS.split("<!-- template -->")[1].split("```python\n")[1].split("```")[0]
    module = types.ModuleType("template")
    exec(compile(text, "docs/plugins.md", "exec"), vars(module))
    source = in_memory("panels.shade", b"shade book\nkelp 41.5 -20.25 3.5\nfern 51.5 -30.25 4.5\n")
    assert [one.label for one in kit.check_reader(module, source, {"stage": "bare"})] == ["kelp", "fern"]
