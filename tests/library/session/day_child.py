"""A painter whose power may fail: taps the plan on from where the journal stands, and tells each tap kept."""

import json
import sys
from pathlib import Path

from sprayout_library.record import Names, Writer
from sprayout_library.session import Look, Shot, judgement_tap, open_session, picture_tap
from sprayout_library.store import Store


def seen_tap(step, session, store):
    """What was seen, made into a tap as the commands do."""
    names, writer = Names(store), Writer(store, "ada")
    if step["do"] == "judge":
        return judgement_tap(Look(by="ada", **step["look"]), session.tally, names, writer, step["at"])
    shot = {**step["shot"], "content": bytes.fromhex(step["shot"]["content"])}
    return picture_tap(Shot(**shot), session.tally, names, writer)


def main(library, plan_file, folder):
    with Store.open(Path(folder)) as store:
        paint(library, plan_file, store)


def paint(library, plan_file, store):
    plan = json.loads(Path(plan_file).read_text(encoding="utf-8"))
    session = open_session(library)
    for place in range(len(session.journal.taps()) - 1, len(plan)):
        step = plan[place]
        if step["do"] == "coat":
            session.coat(step["pieces"], step["at"], step["cup"], step.get("laid"), step.get("count", "1"))
        elif step["do"] in ("judge", "picture"):
            session.see(seen_tap(step, session, store), step["at"])
        else:
            session.undo(step["at"])
        sys.stdout.write(f"{place}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
