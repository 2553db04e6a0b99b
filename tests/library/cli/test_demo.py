"""The demo runs through with the real commands and ends with one head."""

import re


def test_demo(demo):
    assert demo.status == 0, demo.err
    assert "byte for byte" in demo.out and "invented" in demo.out
    assert "two answers: Kelp glass, mix" in demo.out
    assert "asthma" in demo.out
    assert "predicted at 45:0" in demo.out and "Your coats are about" in demo.out
    assert (demo.folder / "fen-lane" / "HEAD").is_file()
    end = demo.out.partition("byte for byte")[2]
    assert re.search(r"fen-lane +\d+ documents\n +mill-yard +\d+ documents\n", end)
    assert not re.search(r"\b[0-9a-f]{12}\b", end)  # no state is told by its digits


def test_whoever_has_no_such_command_on_the_way_is_told_where_it_is(monkeypatch, tmp_path):
    from sprayout_library.cli.demo import as_typed

    program = tmp_path / "a venv" / "sprayout"
    monkeypatch.setattr("sys.argv", [str(program), "demo"])
    monkeypatch.setattr("shutil.which", lambda name: None)
    assert as_typed() == f"'{program}'"
    monkeypatch.setattr("shutil.which", lambda name: f"/somewhere/{name}")
    assert as_typed() == "sprayout"


def test_demo_leaves_the_library_in_use_alone(bench, tmp_path, monkeypatch):
    from sprayout_library.demo import story

    few = {"create", "sync", "join"}
    monkeypatch.setattr(
        "sprayout_library.demo.story",
        lambda folder: [step for step in list(story(folder))[:30] if step.words[0] in few][:4],
    )
    assert bench("demo", str(tmp_path / "demo"))[0] == 0
    assert "Kelp fade" in bench("list")[1]


def test_demo_refuses_a_folder_with_something_in_it(shop, tmp_path):
    (tmp_path / "mine").write_text("mine", encoding="utf-8")
    status, _, err = shop("demo", str(tmp_path))
    assert status == 1 and "not empty" in err
    assert (tmp_path / "mine").read_text(encoding="utf-8") == "mine"


def test_demo_numbers_are_none_of_the_check_values():
    from sprayout_library.demo import story

    told = " ".join(word for step in story(__import__("pathlib").Path("x")) for word in step.words)
    for check in ("= 4 weak", "1 strong", "6 clear", "1.2", "200um", "125um"):
        assert check not in told
