"""Shares of an effort, by a clock that is set by hand."""

from nesting import Stop
from nesting.effort import LEAST_SECONDS, Effort, scaled


def test_parts_end_when_their_share_of_the_time_is_spent():
    """A quarter of 20 s begun at 3 s is over at 8 s, at whatever things the time was spent."""
    now = [100.0]
    effort = Effort(Stop(seconds=20.0), clock=lambda: now[0])
    now[0] += 3.0
    over = effort.part(0.25)
    now[0] += 4.9
    assert not over()
    now[0] += 0.2
    assert over()
    assert abs(effort.left - 11.9) < 1e-9


def test_compiling_is_left_out_and_a_share_is_kept():
    """A minute of compiling counts for nothing; the last 6 s of 20 are there in any case."""
    now = [0.0]
    effort = Effort(Stop(seconds=20.0), clock=lambda: now[0])
    now[0] += 60.0
    effort.leave_out(60.0)
    assert effort.spent == 0.0
    now[0] += 18.0
    assert effort.keep(0.3) == 0.3
    assert effort.left == 6.0
    now[0] += 30.0
    assert effort.left == 0.0


def test_without_seconds_nothing_is_used_up():
    """Iterations are shared out, but no part is ever over."""
    effort = Effort(Stop(iterations=10), clock=lambda: 1e9)
    assert not effort.part(0.0)()
    assert effort.keep(0.3) == 1.0
    assert scaled(effort.stop, 0.25).iterations == 2
    assert scaled(effort.stop, 0.001).iterations == 1
    assert scaled(Stop(seconds=20.0), 0.001).seconds == LEAST_SECONDS
