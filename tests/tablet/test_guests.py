"""Who is logged in and for how long, and who has to wait after wrong pass-phrases."""

from kiosk.tablet.guests import MOST_ADDRESSES, MOST_SESSIONS, SESSION_S, Sessions, Tries


class Clock:
    """Seconds that a test lets pass."""

    def __init__(self) -> None:
        self.s = 1000.0

    def __call__(self) -> float:
        return self.s


def test_a_session_lasts_its_time_and_no_longer() -> None:
    clock = Clock()
    sessions = Sessions(clock)
    token = sessions.begin()
    assert len(token) >= 43  # 256 bits (RFC 4648: 6 bits a character)
    clock.s += SESSION_S - 1
    assert sessions.holds(token)
    clock.s += 1
    assert not sessions.holds(token)


def test_only_what_was_given_out_holds_and_it_ends_when_it_is_logged_out() -> None:
    sessions = Sessions(Clock())
    one, other = sessions.begin(), sessions.begin()
    assert one != other and sessions.holds(one) and sessions.holds(other)
    for wrong in ("", one[:-1], one + "=", one.swapcase(), "\ud800"):
        assert not sessions.holds(wrong)
    sessions.end(one)
    sessions.end("never given out")
    assert not sessions.holds(one) and sessions.holds(other)


def test_the_oldest_session_gives_way_when_there_are_too_many() -> None:
    sessions = Sessions(Clock())
    tokens = [sessions.begin() for _ in range(MOST_SESSIONS + 1)]
    assert not sessions.holds(tokens[0]) and all(map(sessions.holds, tokens[1:]))


def test_two_slips_are_free_and_then_each_waits_longer_up_to_a_minute() -> None:
    clock = Clock()
    tries = Tries(clock)
    waits = []
    for _ in range(9):
        tries.was_wrong("192.0.2.7")
        waits.append(tries.wait_s("192.0.2.7"))
        clock.s += waits[-1]
        assert tries.wait_s("192.0.2.7") == 0
    assert waits == [0, 0, 5, 10, 20, 40, 60, 60, 60]
    tries.was_right("192.0.2.7")
    tries.was_wrong("192.0.2.7")
    assert tries.wait_s("192.0.2.7") == 0


def test_the_wait_is_the_address_own() -> None:
    tries = Tries(Clock())
    for _ in range(3):
        tries.was_wrong("192.0.2.7")
    assert tries.wait_s("::ffff:192.0.2.7") == 5  # the same machine through another socket
    assert tries.wait_s("192.0.2.8") == tries.wait_s("") == tries.wait_s("no address") == 0


def test_one_machine_cannot_try_from_many_addresses_of_its_own() -> None:
    tries = Tries(Clock())
    for last in range(3):
        tries.was_wrong(f"2001:db8:0:1::{last:x}")
    assert tries.wait_s("2001:db8:0:1:ffff::9%eth0") == 5
    assert tries.wait_s("2001:db8:0:2::9") == 0


def test_what_is_remembered_is_bounded() -> None:
    tries = Tries(Clock())
    for number in range(MOST_ADDRESSES + 5):
        for _ in range(3):
            tries.was_wrong(f"10.0.{number // 256}.{number % 256}")
    assert tries.wait_s("10.0.0.0") == 0 and tries.wait_s("10.0.3.200") == 5
