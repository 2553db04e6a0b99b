"""Benchmarks tell their figures to one fixture, and the run ends with their table."""

from tests.benchmarks.figures import Gathering


def pytest_configure(config):
    if not config.pluginmanager.has_plugin("figures"):
        config.pluginmanager.register(Gathering(), "figures")
