"""A clock that can be handed in, so that what waits can be tried without waiting."""

from collections.abc import Callable

from revive.frozen import Frozen


class Clock(Frozen):
    """seconds: a steady count. wait: let that many seconds go by. moment: the date and time as ISO text."""

    seconds: Callable[[], float]
    wait: Callable[[float], None]
    moment: Callable[[], str]


def wall_clock(moment: Callable[[], str]) -> Clock:
    """The clock of this machine."""
    import time

    return Clock(time.monotonic, time.sleep, moment)
