"""Reading between instants, held to the general library's own interpolation (NumPy)."""

import numpy as np
import pytest

from energysim.physics.response_spread import spread

WHEN = np.array([30.0, 90.0, 130.0, 190.0, 200.0, 260.0, 300.0])
KNOWN = [0, 1, 4, 6]


def test_every_column_is_read_as_a_general_library_reads_it():
    values = np.random.default_rng(1).normal(size=(4, 3))
    found = spread(values, known=KNOWN, when_s=WHEN)
    for member in range(3):
        expected = np.interp(WHEN, WHEN[KNOWN], values[:, member])
        assert found[:, member] == pytest.approx(expected, abs=1e-14)
        alone = spread(values[:, member], known=KNOWN, when_s=WHEN)
        assert (alone == found[:, member]).all()


def test_memory_is_used_again_and_single_precision_comes_out_double():
    out = np.full((7, 2), 9.0)
    values = np.arange(8.0, dtype=np.float32).reshape(4, 2)
    assert spread(values, known=KNOWN, when_s=WHEN, out=out) is out
    assert (out[KNOWN] == values).all()
    assert spread(values, known=KNOWN, when_s=WHEN).dtype == np.float64


@pytest.mark.parametrize(
    ("known", "message"),
    [
        ([0, 1, 4, 5], "from step 0 to step 6"),
        ([1, 2, 4, 6], "from step 0 to step 6"),
        ([0, 4, 4, 6], "must rise"),
        ([0, 6], "one step for each value"),
    ],
    ids=["ends-early", "begins-late", "stands-still", "too-few"],
)
def test_steps_that_do_not_fit_are_refused(known, message):
    with pytest.raises(ValueError, match=message):
        spread(np.zeros((4, 2)), known=known, when_s=WHEN)


def test_times_that_do_not_rise_are_refused():
    with pytest.raises(ValueError, match="when_s does not rise"):
        spread(np.zeros(2), known=[0, 2], when_s=[0.0, 5.0, 5.0])
