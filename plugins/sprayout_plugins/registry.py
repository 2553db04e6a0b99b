"""Finding plugins and checking that they fit the contract, each one by itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib.metadata import EntryPoint, entry_points
from types import ModuleType

import pluggy

from sprayout_core.errors import SprayoutError
from sprayout_plugins import hooks

__all__ = ["LeftOut", "Listed", "Registry", "admit", "empty_manager", "find", "of_modules"]

OWN = "sprayout"
"""The distribution whose plugins run in this process; all others run apart (see docs/plugins.md)."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A plugin that can be asked: its name, where it comes from (module and distribution), and its contract.

    apart  the module to load in a process of its own; empty for a plugin that runs in this one
    """

    name: str
    origin: str
    contract: str = ""
    apart: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A plugin that could not be taken in, and why."""

    name: str
    origin: str
    reason: str


@dataclass(frozen=True, slots=True)
class Registry:
    """The plugins of this run: those that can be asked, in order of name, and those left out."""

    manager: pluggy.PluginManager = field(repr=False)
    listed: tuple[Listed, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


def find(points: Iterable[EntryPoint] | None = None) -> Registry:
    """Return the registry of all installed plugins; one that does not load or fit is left out with its
    reason.
    """
    chosen = sorted(
        entry_points(group=hooks.GROUP) if points is None else points,
        key=lambda point: (point.name, point.value),
    )
    manager = empty_manager()
    listed: list[Listed] = []
    left_out: list[LeftOut] = []
    for point in chosen:
        origin = _origin(point)
        if any(other.name == point.name for other in listed):
            left_out.append(LeftOut(point.name, origin, "another plugin already has this name"))
        elif point.dist is not None and point.dist.name != OWN:
            listed.append(Listed(point.name, origin, apart=point.value))
        else:
            _take(manager, point, origin, listed, left_out)
    return Registry(manager, tuple(listed), tuple(left_out))


def of_modules(modules: Iterable[ModuleType]) -> Registry:
    """Return a registry of modules that run in this process; one that does not fit raises. For tests
    and for trusted code.
    """
    manager = empty_manager()
    listed = []
    for module in modules:
        name = module.__name__.rpartition(".")[2]
        admit(manager, name, module)
        listed.append(Listed(name, module.__name__, module.sprayout_contract))
    return Registry(manager, tuple(listed))


def admit(manager: pluggy.PluginManager, name: str, module: object) -> None:
    """Register one plugin, or raise SprayoutError saying how it does not fit the contract.

    A misspelt hook, an argument no hook has, and a contract of another major or a later minor version
    are refused.
    """
    contract = getattr(module, "sprayout_contract", None)
    if not _fits(contract):
        raise SprayoutError(
            f"it says sprayout_contract = {contract!r}",
            f"This sprayout speaks {hooks.CONTRACT}; set sprayout_contract to the version you wrote for.",
            place=f"plugin {name}",
        )
    try:
        manager.register(module, name)
        manager.check_pending()
    except (pluggy.PluginValidationError, ValueError) as wrong:
        if manager.has_plugin(name):
            manager.unregister(name=name)
        raise SprayoutError(str(wrong), "Compare its hooks with docs/plugins.md.", place=f"plugin {name}") from wrong


def empty_manager() -> pluggy.PluginManager:
    """Return a plugin manager that knows the hooks and no plugin."""
    manager = pluggy.PluginManager("sprayout")
    manager.add_hookspecs(hooks)
    return manager


def _fits(contract: object) -> bool:
    major, _, minor = hooks.CONTRACT.partition(".")
    if not isinstance(contract, str):
        return False
    theirs, _, step = contract.partition(".")
    return theirs == major and step.isdecimal() and int(step) <= int(minor)


def _origin(point: EntryPoint) -> str:
    package = f" of {point.dist.name} {point.dist.version}" if point.dist is not None else ""
    return f"{point.value}{package}"


def _take(
    manager: pluggy.PluginManager,
    point: EntryPoint,
    origin: str,
    listed: list[Listed],
    left_out: list[LeftOut],
) -> None:
    try:
        module = point.load()
        admit(manager, point.name, module)
    except SprayoutError as wrong:
        left_out.append(LeftOut(point.name, origin, wrong.fault.problem))
    # A plugin is somebody else's code: whatever it raises while loading may cost only itself.
    except (Exception, SystemExit) as wrong:  # noqa: BLE001
        left_out.append(LeftOut(point.name, origin, f"{type(wrong).__name__}: {wrong}"))
    else:
        listed.append(Listed(point.name, origin, module.sprayout_contract))
