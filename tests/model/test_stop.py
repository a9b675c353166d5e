"""Stop rules: which lengths are out of reach."""

import pytest

from nesting.model.stop import Stop


def test_out_of_reach():
    """A proven minimum above the shorter of target and useful length rules every layout out."""
    assert not Stop(seconds=1).out_of_reach(1e9)
    both = Stop(seconds=1, target=10.0, useful=12.0)
    assert both.out_of_reach(11.0)
    assert not both.out_of_reach(10.0 + 1e-9)
    assert Stop(seconds=1, useful=12.0).out_of_reach(12.001)
    with pytest.raises(ValueError, match="positive"):
        Stop(seconds=1, useful=0.0)
