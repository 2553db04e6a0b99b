"""What the hub tells of itself: one line of JSON for each thing that happened, and counts; never a secret.

Routes are told by their pattern, so that nothing a visitor typed reaches the log: no address, no query, no header.
"""

from __future__ import annotations

import json
import sys
import threading
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TextIO

__all__ = ["Telling"]

_SECONDS = (0.005, 0.025, 0.05, 0.1, 0.5, 2.5, 10.0, 60.0)


@dataclass(slots=True)
class Telling:
    """The log and the counts of one hub. `out` is where lines go; None for nowhere."""

    out: TextIO | None = field(default_factory=lambda: sys.stderr)
    requests: Counter[tuple[str, str, int]] = field(default_factory=Counter)
    took: Counter[float] = field(default_factory=Counter)
    seconds: float = 0.0
    events: Counter[str] = field(default_factory=Counter)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def event(self, what: str, **facts: str | int | float | list[str]) -> None:
        """Tell one thing that happened."""
        self.events[what] += 1
        if self.out is None:
            return
        at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
        line = json.dumps({"at": at, "event": what, **facts}) + "\n"
        with self._lock:
            self.out.write(line)
            self.out.flush()

    def request(self, method: str, route: str, status: int, seconds: float, who: str, library: str) -> None:
        """Tell one request that was answered."""
        method = method if method in {"GET", "HEAD", "POST", "PUT"} else "other"
        self.requests[(method, route, status)] += 1
        self.seconds += seconds
        self.took[next((limit for limit in _SECONDS if seconds <= limit), float("inf"))] += 1
        self.event(
            "request", method=method, route=route, status=status, ms=round(seconds * 1000, 1), by=who, library=library
        )

    def metrics(self, running: int) -> str:
        """Return the counts in the Prometheus text format, version 0.0.4."""
        lines = ["# TYPE sprayout_requests_total counter"]
        for (method, route, status), count in sorted(self.requests.items()):
            lines.append(f'sprayout_requests_total{{method="{method}",route="{route}",status="{status}"}} {count}')
        lines.append("# TYPE sprayout_request_seconds histogram")
        total = 0
        for limit in (*_SECONDS, float("inf")):
            total += self.took[limit]
            bound = "+Inf" if limit == float("inf") else f"{limit:g}"
            lines.append(f'sprayout_request_seconds_bucket{{le="{bound}"}} {total}')
        lines += [f"sprayout_request_seconds_sum {self.seconds:.6f}", f"sprayout_request_seconds_count {total}"]
        lines.append("# TYPE sprayout_events_total counter")
        lines += [f'sprayout_events_total{{event="{name}"}} {count}' for name, count in sorted(self.events.items())]
        lines += ["# TYPE sprayout_transfers_running gauge", f"sprayout_transfers_running {running}", ""]
        return "\n".join(lines)
