"""Real kills of real commands: a finish, and taps, ended at moments nobody chose."""

import contextlib
import json
import subprocess
import sys

import pytest
from tests.library.grey_png import png

pytestmark = pytest.mark.long
COMMAND = [sys.executable, "-c", "from sprayout_library.cli.main import main; main()"]


def killed_after(seconds, *words):
    process = subprocess.Popen([*COMMAND, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(timeout=seconds)
    process.kill()
    process.wait()


@pytest.mark.parametrize("hundredths", range(20, 110, 6))
def test_a_finish_killed_at_any_moment_ends_in_the_same_three_panels(shop, hundredths):
    shop.said("spray", "piece", "P2F over white, flat, for P2")
    shop.said("spray", "coat", "all")
    killed_after(hundredths / 100, "spray", "finish", "--used", "B1=40 ml")
    status, out, err = shop("spray", "finish")
    if status:
        assert "no session runs" in err.lower()
    left = json.loads(shop.said("cup", "B1", "--json"))["left"]
    panels = json.loads(shop.said("list", "panels", "--json"))
    assert sorted(one["label"] for one in panels) == ["P1", "P2", "P2F"]
    # killed before anything was decided, the second finish was told of nothing used
    assert left in ("70", "110")
    assert status == 1 or "3 panels saved" in out


@pytest.mark.parametrize("hundredths", range(20, 140, 8))
def test_a_picture_killed_at_any_moment_is_kept_once_or_can_be_said_again(shop, hundredths):
    (shop.folder / "flop.png").write_bytes(png(70))
    shop.said("spray", "coat", "all")
    shop.said("spray", "judge", "pair", "P1", "P2", "--light", "D65")
    words = ("spray", "picture", "flop.png", "--piece", "P2", "--tilt", "60")
    killed_after(hundredths / 100, *words)
    status, _, err = shop(*words)
    assert (status, "is here already" in err) in ((0, False), (1, True))
    killed_after(hundredths / 100, "spray", "finish")
    status, _, err = shop("spray", "finish")
    assert status == 0 or "no session runs" in err.lower()
    shown = shop.said("show", "P2")
    assert shown.count("closest: P1 and P2") == 1
    assert len(json.loads(shop.said("list", "pictures", "--json"))) == 1
    assert len(json.loads(shop.said("list", "judgements", "--json"))) == 1
    assert len(json.loads(shop.said("list", "panels", "--json"))) == 2


def test_taps_from_two_hands_at_once_are_all_kept(shop):
    hands = [
        subprocess.Popen([*COMMAND, "spray", "coat", "P1"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for _ in range(4)
    ]
    done = 0
    for hand in hands:
        _, err = hand.communicate()
        assert hand.returncode in (0, 1), err
        assert hand.returncode == 0 or b"nother" in err, err
        done += hand.returncode == 0
    piece = json.loads(shop.said("spray", "show", "--json"))[0]["pieces"][0]
    assert piece["coats"][0]["count"] == str(done)
