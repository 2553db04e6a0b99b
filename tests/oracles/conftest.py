"""Outside packages, imported for tests only and kept from warning about what is not used here."""

import warnings

import pytest


@pytest.fixture(scope="session")
def colour():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour as package
    return package
