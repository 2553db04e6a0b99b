"""Asking plugins one at a time: answers and failures are both kept, and a failing plugin spoils only
its own answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sprayout_core.errors import Fault, SprayoutError
from sprayout_core.tables import RowLeftOut, TableReading
from sprayout_plugins import apart, hooks
from sprayout_plugins.registry import Listed, Registry

__all__ = ["Answer", "Described", "PluginError", "ask", "ask_one", "describe"]


class PluginError(SprayoutError):
    """A plugin did not answer properly; the refusals it gave on purpose are its faults.

    plugin    its name
    question  the hook that was asked
    cause     what it raised, or None where it answered nonsense or ran out of its bounds
    """

    def __init__(self, plugin: str, question: str, wrong: BaseException | str) -> None:
        self.plugin = plugin
        self.question = question
        self.cause = wrong if isinstance(wrong, BaseException) else None
        self._faults = wrong.faults if isinstance(wrong, SprayoutError) else ()
        problem = wrong if isinstance(wrong, str) else f"{type(wrong).__name__}: {wrong}"
        if self._faults:
            problem = self._faults[0].problem
        super().__init__(problem, place=f"plugin {plugin}, {question}")

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The plugin's own faults where it refused on purpose, otherwise the one that tells of its
        failure.
        """
        return self._faults or (self.fault,)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one plugin answered to one question.

    value    its answer; None where it says 'not mine' or failed
    failure  what went wrong; None where nothing did
    """

    plugin: str
    value: Any = None
    failure: PluginError | None = None


@dataclass(frozen=True, slots=True)
class Described:
    """One plugin for people to see: where it comes from and runs, what it speaks and answers, or what failed.

    runs   `here` in this process, `apart` in one of its own, or `not` where it was left out
    hooks  the questions it answers
    """

    name: str
    origin: str
    runs: str
    contract: str = ""
    hooks: tuple[str, ...] = ()
    failure: str = ""


def describe(registry: Registry) -> tuple[Described, ...]:
    """Return every plugin found, in order of name; those that run apart are loaded once to be asked."""
    found = [_described(registry, listed) for listed in registry.listed]
    found += [Described(left.name, left.origin, "not", failure=left.reason) for left in registry.left_out]
    return tuple(sorted(found, key=lambda plugin: plugin.name))


def _described(registry: Registry, listed: Listed) -> Described:
    if not listed.apart:
        callers = registry.manager.get_hookcallers(registry.manager.get_plugin(listed.name)) or []
        names = tuple(sorted(caller.name for caller in callers))
        return Described(listed.name, listed.origin, "here", listed.contract, names)
    try:
        contract, names = apart.describe(listed.apart)
    except SprayoutError as wrong:
        return Described(listed.name, listed.origin, "apart", failure=str(wrong))
    return Described(listed.name, listed.origin, "apart", contract, names)


def ask(registry: Registry, hook: str, **question: object) -> tuple[Answer, ...]:
    """Ask every plugin that can answer a hook and return all answers, in order of plugin name.

    Plugins that do not answer this hook at all are not in the list. The answer to `read_table` is an
    iterator; taking from it raises PluginError where the plugin fails under way.
    """
    return tuple(
        _answer(registry, listed, hook, question) for listed in registry.listed if _may_answer(registry, listed, hook)
    )


# What an answer is depends on the hook that is asked, hence Any.
def ask_one(registry: Registry, plugin: str, hook: str, **question: object) -> Any:
    """Ask one plugin by name; return its answer (None: not its kind) or raise PluginError."""
    for listed in registry.listed:
        if listed.name == plugin and _may_answer(registry, listed, hook):
            answer = _answer(registry, listed, hook, question)
            if answer.failure is not None:
                raise answer.failure
            return answer.value
    able = [listed.name for listed in registry.listed if _may_answer(registry, listed, hook)]
    raise SprayoutError(
        f"no plugin called {plugin!r} answers {hook}",
        f"Use one of: {', '.join(able) or '(none)'}.",
        place="plugins",
    )


def _may_answer(registry: Registry, listed: Listed, hook: str) -> bool:
    if listed.apart:
        return hook in hooks.ACROSS
    plugin = registry.manager.get_plugin(listed.name)
    return any(caller.name == hook for caller in registry.manager.get_hookcallers(plugin) or [])


def _answer(registry: Registry, listed: Listed, hook: str, question: dict[str, object]) -> Answer:
    try:
        value = _asked(registry, listed, hook, question)
        return Answer(listed.name, _checked(listed.name, hook, value))
    except PluginError as wrong:
        return Answer(listed.name, failure=wrong)
    # The one broad except for plugins: somebody else's code may raise anything; it costs its own answer.
    except (Exception, SystemExit) as wrong:  # noqa: BLE001
        return Answer(listed.name, failure=PluginError(listed.name, hook, wrong))


def _asked(registry: Registry, listed: Listed, hook: str, question: dict[str, object]) -> object:
    if listed.apart:
        return apart.ask(listed.apart, hook, question)
    others = [plugin for name, plugin in registry.manager.list_name_plugin() if name != listed.name]
    replies = registry.manager.subset_hook_caller(hook, others)(**question)
    return replies[0] if replies else None


def _checked(plugin: str, hook: str, value: object) -> object:
    if value is None:
        return None
    kinds = hooks.answers_to(hook)
    if kinds is None:
        if not isinstance(value, Iterable):
            raise PluginError(plugin, hook, f"answered {type(value).__name__}, expected readings one after another")
        return _stream(plugin, hook, value)
    if not isinstance(value, kinds):
        expected = " or ".join(kind.__name__ for kind in kinds)
        raise PluginError(plugin, hook, f"answered {type(value).__name__}, expected {expected}")
    return value


def _stream(plugin: str, hook: str, values: Iterable[Any]) -> Iterator[TableReading | RowLeftOut]:
    try:
        for value in values:
            yield _row(plugin, hook, value)
    except (PluginError, GeneratorExit):
        raise
    # As above: what the plugin raises while its readings are taken is told as its failure.
    except (Exception, SystemExit) as wrong:
        raise PluginError(plugin, hook, wrong) from wrong


def _row(plugin: str, hook: str, value: object) -> TableReading | RowLeftOut:
    if isinstance(value, TableReading | RowLeftOut):
        return value
    raise PluginError(plugin, hook, f"answered {type(value).__name__} among its readings")
