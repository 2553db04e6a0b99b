"""Holds the comparison of docs/git.md to what the three ways give today."""

import importlib.util
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def comparing():
    spec = importlib.util.spec_from_file_location("sprayout_comparing", HERE / "comparing.py")
    sys.modules[spec.name] = module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def rows(comparing):
    return comparing.results()


def test_ours_is_right_in_every_case(rows):
    assert [row[-1] for _, row in rows] == ["right"] * len(rows)


def test_a_text_merge_is_clean_and_wrong_where_two_components_change(rows):
    case, row = rows[0]
    assert case.name.startswith("two components")
    assert row[0] == "clean, wrong: 5:2:13"


def test_a_text_merge_finds_a_conflict_where_there_is_none(rows):
    case, row = rows[1]
    assert case.name.startswith("8:4:22")
    assert row[0] == "conflict"


def test_a_general_tool_depends_on_the_order(rows):
    assert any("depends on the order" in row[1] for _, row in rows)


def test_the_table_in_the_documents_is_the_one_made_today(comparing):
    page = (comparing.ROOT / "docs" / "git.md").read_text(encoding="utf-8")
    assert comparing.with_table(page) == page
