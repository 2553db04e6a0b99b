"""The folder of a hub: its settings, its accounts, its libraries, its receive log; and libraries kept open."""

from __future__ import annotations

import re
import shutil
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_library.hub.accounts import Accounts
from sprayout_library.hub.errors import HubError, NoSuchError
from sprayout_library.hub.links import Links
from sprayout_library.hub.open_stores import OpenStores
from sprayout_library.hub.settings import Settings, read_settings, settings_bytes

if TYPE_CHECKING:
    from sprayout_library.store import Store

__all__ = ["Hub", "library_name"]

_LIBRARY = re.compile(r"[a-z0-9][a-z0-9-]{0,40}", re.ASCII)
#: Words that stand in addresses of the hub itself.
_TAKEN = frozenset({"l", "api", "static", "health", "metrics", "sign-in", "sign-out", "hub", "git", "favicon", "card"})


def library_name(text: str) -> str:
    """Return a name that a library may have at a hub. Raises HubError."""
    if not _LIBRARY.fullmatch(text) or text in _TAKEN:
        raise HubError(f"{text[:60]!r} is no name for a library here", "Small letters, digits, dashes; up to 41.")
    return text


@dataclass(slots=True)
class Hub:
    """A hub on this machine."""

    folder: Path
    settings: Settings
    accounts: Accounts
    links: Links
    stores: OpenStores = field(default_factory=OpenStores)

    @classmethod
    def create(cls, path: Path, settings: Settings | None = None) -> Hub:
        """Make a new hub in a folder that does not exist yet, or is empty. Raises HubError."""
        from sprayout_library.machine import write_whole

        folder = path.expanduser().absolute()
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise HubError("the folder is not empty", "Choose a new one.", place=str(path))
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            (folder / "libraries").mkdir()
            write_whole(folder / "hub.json", settings_bytes(settings or Settings()))
        except OSError as error:
            raise HubError(f"no hub can be made here: {error.strerror}", "Choose another folder.") from None
        return cls.open(folder)

    @classmethod
    def open(cls, path: Path) -> Hub:
        """Open the hub in a folder. Raises HubError."""
        folder = path.expanduser().resolve()
        settings = read_settings(folder / "hub.json")
        return cls(folder, settings, Accounts(folder / "accounts"), Links(folder / "accounts"))

    def close(self) -> None:
        """End what was kept open."""
        self.stores.close()

    # ---- libraries --------------------------------------------------------------------------------------

    def libraries(self) -> list[str]:
        """Return the names of the libraries, sorted."""
        found = (path.name for path in (self.folder / "libraries").iterdir() if (path / "HEAD").is_file())
        return sorted(name for name in found if _LIBRARY.fullmatch(name))

    def library(self, name: str) -> Path:
        """Return the folder of a library. Raises NoSuchError."""
        folder = self.folder / "libraries" / name
        if not _LIBRARY.fullmatch(name) or not (folder / "HEAD").is_file():
            raise NoSuchError("there is no such library here", "Ask a keeper of this hub.")
        return folder

    def add_library(self, name: str, now: datetime | None = None) -> Path:
        """Make a new, empty library that shops can join; the hub's own copy gets a key where one can be made."""
        from sprayout_library.machine import SigningError
        from sprayout_library.store import Store
        from sprayout_library.trust import begin_signing

        folder = self.folder / "libraries" / library_name(name)
        if folder.exists():
            raise HubError(f"{name} is here already", "Choose another name.")
        # Without OpenSSH on this machine the hub's edits go unsigned, and verify says so.
        with Store.create(folder, now or datetime.now(UTC)) as store, suppress(SigningError):
            begin_signing(store)
        return folder

    def store(self, name: str) -> AbstractContextManager[Store]:
        """Open a library at its newest state, or take one that is open still; it is nobody else's while inside."""
        return self.stores.store(self.library(name))

    def swept(self, *names: str) -> int:
        """Throw away what stopped pushes left behind, in all libraries or those named; only while none is running."""
        count = 0
        for name in names or self.libraries():
            for left in (self.folder / "libraries" / name / "objects").glob("tmp_objdir-*"):
                shutil.rmtree(left, ignore_errors=True)
                count += 1
        return count
