"""Numbers once each and their quantiles are numpy's own, to the last digit; numpy is the second way."""

import numpy as np
import pytest

from foamworks.physics.grid import distinct, quantile

VALUES = np.random.default_rng(7).normal(size=4001).round(3)


def test_distinct_numbers_are_those_of_numpy() -> None:
    assert distinct(VALUES).tolist() == np.unique(VALUES).tolist()


@pytest.mark.parametrize("share", [0.0, 0.002, 0.05, 0.1, 0.5, 0.95, 0.998, 1.0])
def test_a_quantile_is_that_of_numpy(share: float) -> None:
    for values in (VALUES, VALUES[:2], VALUES[:4000]):
        assert quantile(values, share) == np.quantile(values, share)


def test_a_quantile_of_what_is_not_known_is_not_known() -> None:
    assert np.isnan(quantile(np.append(VALUES, np.nan), 0.5))
