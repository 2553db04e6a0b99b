"""A painter whose power may fail: taps the plan on from where the journal stands, and tells each tap kept."""

import json
import sys
from pathlib import Path

from sprayout_library.session import open_session


def main(library, plan_file):
    plan = json.loads(Path(plan_file).read_text(encoding="utf-8"))
    session = open_session(library)
    for place in range(len(session.journal.taps()) - 1, len(plan)):
        step = plan[place]
        if step["do"] == "coat":
            session.coat(step["pieces"], step["at"], step["cup"], step.get("laid"), step.get("count", "1"))
        else:
            session.undo(step["at"])
        sys.stdout.write(f"{place}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
