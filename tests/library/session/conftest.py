"""Gives tests an invented shop with cups, pieces and a clock that only goes when asked."""

import pytest
from tests.library.spray_shop import SprayShop


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        shop = SprayShop(tmp_path_factory.mktemp("shop"), patch)
        yield shop
        shop.close()
