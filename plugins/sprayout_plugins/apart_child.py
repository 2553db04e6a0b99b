"""The other end of `apart`: load one plugin in this process, ask it one question, say the answer line
by line.
"""

from __future__ import annotations

import importlib
import io
import json
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import IO, Any

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source, from_tree, tree
from sprayout_plugins import apart, hooks, registry

__all__ = ["main"]


def main() -> None:
    """Read one question from standard input and answer it on standard output."""
    asked = json.loads(sys.stdin.buffer.read())
    say_to = _private_output()
    _bound_memory(asked["memory_bytes"])
    try:
        _answer(asked, say_to)
    except SprayoutError as wrong:
        _say(say_to, {"refused": [[fault.place, fault.problem, fault.remedy] for fault in wrong.faults]})
    # Whatever the plugin raises, even leaving Python, is told to the one who asked.
    except BaseException as wrong:  # noqa: BLE001
        _say(say_to, {"failed": f"{type(wrong).__name__}: {wrong}"[:500]})
    say_to.flush()
    os._exit(0)  # threads the plugin left behind must not keep the process alive


def _private_output() -> IO[bytes]:
    """Keep the real output for answers, so that a plugin that prints spoils nothing."""
    kept = os.fdopen(os.dup(1), "wb")
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    sys.stdout = io.TextIOWrapper(os.fdopen(quiet, "wb"), encoding="utf-8")
    return kept


def _bound_memory(limit: int) -> None:
    # Guarded spot: the system call exists on POSIX only.
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _answer(asked: dict[str, Any], say_to: IO[bytes]) -> None:
    module = importlib.import_module(asked["module"].partition(":")[0])
    manager = registry.empty_manager()
    registry.admit(manager, "plugin", module)
    hook = asked["hook"]
    if hook == apart.DESCRIBE:
        found = [caller.name for caller in manager.get_hookcallers(module) or []]
        _say(say_to, {"contract": module.sprayout_contract, "hooks": sorted(found)})
        return
    question = {name: _taken_over(value) for name, value in asked["question"].items()}
    replies = getattr(manager.hook, hook)(**question)
    if not replies:
        _say(say_to, {"none": 1})
    elif hooks.answers_to(hook) is None:
        _say_all(say_to, replies[0])
    else:
        _say(say_to, {"value": tree(replies[0])})


def _say_all(say_to: IO[bytes], values: Iterable[Any]) -> None:
    _say(say_to, {"stream": 1})
    for value in values:
        _say(say_to, {"value": tree(value)})
    _say(say_to, {"end": 1})


def _taken_over(value: dict[str, Any]) -> object:
    if "source" in value:
        told = value["source"]
        copy = Path(told["file"])
        return Source(told["name"], told["size"], told["digest"], lambda: copy.open("rb"))
    if "values" in value:
        return [from_tree(item) for item in value["values"]]
    return value["plain"]


def _say(say_to: IO[bytes], thing: dict[str, Any]) -> None:
    say_to.write(json.dumps(thing, allow_nan=False).encode() + b"\n")
    say_to.flush()


if __name__ == "__main__":
    main()
