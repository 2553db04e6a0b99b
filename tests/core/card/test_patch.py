import numpy as np
import pytest

from sprayout_core.card import fit_to_measure, summarise, summarise_all


def _patch(level=(0.4, 0.3, 0.2), noise=0.01, rows=20, columns=24, seed=0):
    rng = np.random.default_rng(seed)
    light = np.array(level) * (1 + noise * rng.standard_normal((rows * columns, 3)))
    return light, np.clip(light * 255, 0, 255).astype(np.uint8)


def test_middle_and_spread():
    light, stored = _patch(noise=0.05)
    summary = summarise(light, stored, 255, 24)
    assert summary.median == pytest.approx([0.4, 0.3, 0.2], rel=0.01)
    assert summary.spread == pytest.approx([0.05] * 3, rel=0.2)
    assert summary.glints == 0.0
    assert fit_to_measure(summary, "p") is None


def test_glints_are_told_and_move_nothing():
    light, stored = _patch()
    light[::20] = 1.5
    summary = summarise(light, stored, 255, 24)
    assert summary.glints == pytest.approx(0.05)
    assert summary.median == pytest.approx([0.4, 0.3, 0.2], rel=0.01)


@pytest.mark.parametrize(("top", "value"), [(255, 255), (255, 254), (65535, 65535)])
def test_clipping_at_the_top_in_any_channel(top, value):
    light, _ = _patch()
    stored = np.full(light.shape, top // 3)
    stored[: len(stored) // 10, 2] = value
    summary = summarise(light, stored, top, 24)
    assert summary.clipped_high == pytest.approx(0.1)
    fault = fit_to_measure(summary, "pieces/A1")
    assert fault.place == "pieces/A1"
    assert "10% of its pixels are at the top" in fault.problem
    assert "Expose less" in fault.remedy


def test_clipping_at_zero():
    light, _ = _patch()
    stored = np.full(light.shape, 90)
    stored[: len(stored) // 10, 0] = 0
    assert "at zero in a channel" in fit_to_measure(summarise(light, stored, 255, 24), "p").problem


def test_a_few_clipped_pixels_are_glints_not_a_reason_to_refuse():
    light, _ = _patch()
    stored = np.full(light.shape, 90)
    stored[::50] = 255
    assert fit_to_measure(summarise(light, stored, 255, 24), "p") is None


@pytest.mark.parametrize("along", ["rows", "columns"])
def test_two_colours_in_one_cell_are_refused(along):
    light, stored = _patch()
    square = light.reshape(20, 24, 3)
    if along == "rows":
        square[:9] *= 0.5
    else:
        square[:, :11] *= 0.5
    summary = summarise(light, stored, 255, 24)
    assert summary.drift > 0.4
    assert "not one colour" in fit_to_measure(summary, "p").problem


def test_a_patch_of_one_pixel_a_side_has_no_quarters():
    summary = summarise(np.full((3, 3), 0.5), np.full((3, 3), 120), 255, 1)
    assert summary.drift == 0.0


def test_the_median_is_the_median():
    from sprayout_core.card import patch

    rng = np.random.default_rng(3)
    for count in (1, 2, 3, 8, 1295, 1296):
        values = rng.random((3, count))
        assert (patch._median(values) == np.median(values, axis=1)).all()
        away = np.abs(values - 0.5)
        assert (patch._median_away(values, np.full(3, 0.5)) == np.median(away, axis=1)).all()


def test_patches_at_once_are_those_one_by_one():
    patches = [_patch(noise=0.02 * seed, seed=seed) for seed in range(5)]
    light = np.stack([one.T for one, _ in patches])
    stored = np.stack([one.T for _, one in patches])
    for one, (lit, held) in zip(summarise_all(light, stored, 255, 24), patches, strict=True):
        alone = summarise(lit, held, 255, 24)
        assert (one.median == alone.median).all()
        assert (one.spread == alone.spread).all()
        assert (one.clipped_low, one.clipped_high, one.glints, one.drift) == (
            alone.clipped_low, alone.clipped_high, alone.glints, alone.drift,
        )  # fmt: skip
