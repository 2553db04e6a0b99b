"""Looking at a repository folder before git does: only what cannot make git run, write elsewhere or wait for ever."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from sprayout_library.store.errors import NotALibraryError, UnsafeError

__all__ = ["check_outline", "check_settings", "check_shape", "settings_of"]

_MOST_FILES = 400_000
_LARGEST_SETTINGS = 100_000
_LARGEST_REF = 4096

# Settings of a repository that can be relied on to start nothing and to point nowhere.
_HARMLESS = re.compile(
    r"core\.(repositoryformatversion|filemode|bare|ignorecase|symlinks|precomposeunicode|sharedrepository"
    r"|logallrefupdates|compression|bigfilethreshold|fsync|fsyncmethod|quotepath)"
    r"|receive\.(denynonfastforwards|denydeletes|fsckobjects|maxinputsize|autogc|unpacklimit)"
    r"|transfer\.(fsckobjects|unpacklimit|hiderefs)|fetch\.(fsckobjects|unpacklimit)"
    r"|gc\.(auto|autopacklimit|autodetach|reflogexpire|reflogexpireunreachable|pruneexpire)"
    r"|pack\.(windowmemory|window|depth|threads|writebitmaps|writereverseindex)|repack\.writebitmaps"
    r"|uploadpack\.(allowfilter|hiderefs)|http\.receivepack|http\.uploadpack|commitgraph\..*"
    r"|init\.defaultbranch|sprayout\..*"
    r"|remote\..*\.(url|fetch|mirror|pushurl)|branch\..*\.(remote|merge)"
)
_SECTION = re.compile(r"\[\s*([A-Za-z0-9.-]+)(?:\s+\"((?:[^\"\\]|\\.)*)\")?\s*\](.*)")
_SETTING = re.compile(r"([A-Za-z][A-Za-z0-9-]*)\s*(?:=(.*))?")


def settings_of(folder: Path) -> dict[str, str]:
    """Return the settings in a repository's own `config`, read as text: git is not asked, nothing is included.

    Raises UnsafeError for a file that is too large or not written line by line.
    """
    path = folder / "config"
    try:
        content = path.read_bytes()[: _LARGEST_SETTINGS + 1]
    except FileNotFoundError:
        return {}
    if len(content) > _LARGEST_SETTINGS:
        raise UnsafeError("the repository's config is too large", "It was not written by us.", place=str(path))
    found: dict[str, str] = {}
    section = ""
    for number, line in enumerate(content.decode("utf-8", "replace").splitlines(), 1):
        text = line.strip()
        if head := _SECTION.fullmatch(text):
            section = head[1].lower() + (f".{head[2]}" if head[2] is not None else "")
            text = head[3].strip()
        if not text or text[0] in "#;":
            continue
        setting = _SETTING.fullmatch(text)
        if setting is None or not section or text.endswith("\\"):
            raise UnsafeError(
                "the repository's config cannot be understood",
                "Write one setting a line.",
                place=f"{path}, line {number}",
            )
        found[f"{section}.{setting[1].lower()}"] = (setting[2] or "true").strip()
    return found


def check_settings(folder: Path) -> dict[str, str]:
    """Return the settings of a repository, refusing by name any that could start a program or point elsewhere."""
    found = settings_of(folder)
    for name, value in found.items():
        if not _HARMLESS.fullmatch(name):
            raise UnsafeError(
                f"the setting {name} stands in the repository's config",
                "It could start programs or write elsewhere; take the line out if you trust who put it there.",
                place=str(folder),
            )
        if name == "core.repositoryformatversion" and value != "0":
            raise UnsafeError(
                f"repository format {value}",
                "Only plain repositories (format 0) are used.",
                place=str(folder),
            )
    if found.get("core.bare", "true").lower() not in {"true", "yes", "on", "1"}:
        raise UnsafeError("the repository has a work tree", "Use a bare repository.", place=str(folder))
    return found


def check_shape(folder: Path) -> None:
    """Refuse a folder whose repository is anything but plain files and folders, down to the last object.

    Raises NotALibraryError or UnsafeError, naming the file.
    """
    check_outline(folder)
    for fan in _entries(str(folder / "objects")):
        if fan.is_dir(follow_symlinks=False):
            _check_files(folder, Path(fan.path))


def check_outline(folder: Path) -> None:
    """Refuse a folder whose repository is anything but plain files and folders.

    A gitfile, commondir, linked or borrowed objects make a push write elsewhere; a pipe or device among the
    references makes git wait for ever. Raises NotALibraryError or UnsafeError, naming the file.
    """
    if not folder.is_dir():
        raise NotALibraryError("no such folder", "Check the address, or create it first.", place=str(folder))
    if (folder / ".git").exists() or (folder / ".git").is_symlink():
        raise UnsafeError("has a work tree or points to another folder", "Use a bare repository.", place=str(folder))
    for name in ("HEAD", "objects", "refs"):
        if not (folder / name).exists():
            raise NotALibraryError(f"holds no library: {name} is missing", "Check the address.", place=str(folder))
    for name in ("commondir", "gitdir", "shallow", "worktrees", "modules"):
        if os.path.lexists(folder / name):
            what = "a shallow one, with history cut off" if name == "shallow" else f"one with {name}"
            raise UnsafeError(f"the repository is {what}", "Use a whole, plain, bare repository.", place=str(folder))
    for name in ("alternates", "http-alternates"):
        if os.path.lexists(folder / "objects" / "info" / name):
            raise UnsafeError(
                "the repository borrows its objects from another one",
                "Use a repository of its own.",
                place=str(folder),
            )
    _check_files(folder, folder)


def _check_files(folder: Path, top: Path) -> None:
    """Look at everything below `top`, but not into the 256 folders of single objects."""
    for count, entry in enumerate(_walked(top), 1):
        if count > _MOST_FILES:
            raise UnsafeError(f"more than {_MOST_FILES} files", "Pack the repository first.", place=str(folder))
        relative = Path(entry.path).relative_to(folder)
        if relative.parts[0] in {"refs", "HEAD", "packed-refs"} and entry.is_file(follow_symlinks=False):
            limit = 20_000_000 if relative.parts[0] == "packed-refs" else _LARGEST_REF
            with suppress(FileNotFoundError):
                if entry.stat(follow_symlinks=False).st_size > limit:
                    raise UnsafeError(
                        "too large for a reference", "Use a plain repository.", place=str(folder / relative)
                    )
    _check_head(folder)


_OBJECTS = re.compile(r".*[/\\]objects[/\\][0-9a-f]{2}")


def _walked(folder: Path) -> Iterator[os.DirEntry[str]]:
    """Yield everything below a folder; what others put there and took away meanwhile is no fault."""
    waiting = [str(folder)]
    while waiting:
        for entry in _entries(waiting.pop()):
            if entry.is_symlink() or (hasattr(entry, "is_junction") and entry.is_junction()):
                raise UnsafeError("is a link", "Only plain files and folders are used.", place=entry.path)
            if entry.is_dir(follow_symlinks=False):
                if not _OBJECTS.fullmatch(entry.path):
                    waiting.append(entry.path)
            elif not entry.is_file(follow_symlinks=False) and os.path.lexists(entry.path):
                raise UnsafeError("is no plain file", "Take it away: git would wait on it.", place=entry.path)
            yield entry


def _entries(folder: str) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return list(entries)
    except FileNotFoundError:
        return []


def _check_head(folder: Path) -> None:
    content = (folder / "HEAD").read_bytes()[:_LARGEST_REF]
    if not re.fullmatch(rb"ref: refs/heads/[\w./-]+\n?|[0-9a-f]{40}\n?", content):
        raise UnsafeError("HEAD is not written as git writes it", "Use a plain repository.", place=str(folder / "HEAD"))
