"""By which names the server may be asked, and whose pages may ask it."""

import socket

import pytest

from kiosk.tablet.addresses import Served, WrongAddress, served_at

ALONE = Served("127.0.0.1", 8642)
HOME = Served("0.0.0.0", 8642)
SIX = Served("::", 8642)
FRONT = Served("127.0.0.1", 8642, "https://bench.example")


@pytest.mark.parametrize(
    ("served", "host", "reached"),
    [
        (ALONE, "127.0.0.1:8642", "127.0.0.1"),
        (ALONE, "localhost:8642", "127.0.0.1"),
        (HOME, "192.168.1.20:8642", "192.168.1.20"),
        (HOME, "127.0.0.1:8642", "127.0.0.1"),
        (SIX, "[2001:db8::5]:8642", "2001:db8::5"),
        (SIX, "192.168.1.20:8642", "::ffff:192.168.1.20"),
        (Served("::1", 8642), "[::1]:8642", "::1"),
        (Served("192.168.1.20", 80), "192.168.1.20", "192.168.1.20"),
        (FRONT, "bench.example", "127.0.0.1"),
        (FRONT, "Bench.Example", "127.0.0.1"),
        (FRONT, "127.0.0.1:8642", "127.0.0.1"),  # a server in front that hands on its own name for it
    ],
)
def test_its_own_names(served: Served, host: str, reached: str) -> None:
    assert served.is_own_host(host, reached)


@pytest.mark.parametrize(
    ("served", "host", "reached"),
    [
        (ALONE, "evil.example:8642", "127.0.0.1"),  # a name that was pointed here (DNS rebinding)
        (ALONE, "evil.example", "127.0.0.1"),
        (ALONE, "", "127.0.0.1"),
        (ALONE, "127.0.0.1", "127.0.0.1"),  # another server's port
        (ALONE, "127.0.0.1:8643", "127.0.0.1"),
        (ALONE, "127.0.0.1:99999", "127.0.0.1"),
        (ALONE, "127.0.0.1:eight", "127.0.0.1"),
        (ALONE, "user@127.0.0.1:8642", "127.0.0.1"),
        (ALONE, "127.0.0.1:8642/x", "127.0.0.1"),
        (ALONE, "127.0.0.2:8642", "127.0.0.1"),
        (ALONE, "[::1", "127.0.0.1"),
        (ALONE, "bench.example", "127.0.0.1"),
        (HOME, "localhost:8642", "192.168.1.20"),
        (HOME, "192.168.1.21:8642", "192.168.1.20"),
        (HOME, "localhost.evil.example:8642", "192.168.1.20"),
        (FRONT, "bench.example.evil.example", "127.0.0.1"),
    ],
)
def test_no_other_names(served: Served, host: str, reached: str) -> None:
    assert not served.is_own_host(host, reached)


def test_the_machine_goes_by_its_own_name_on_the_network(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Bench")
    for host in ("bench:8642", "bench.local:8642", "BENCH.local:8642"):
        assert HOME.is_own_host(host, "192.168.1.20")
    assert not HOME.is_own_host("bench.evil.example:8642", "192.168.1.20")
    assert not ALONE.is_own_host("bench.local:8642", "127.0.0.1")


def test_only_its_own_pages_may_ask() -> None:
    assert ALONE.is_own_origin("http://127.0.0.1:8642", "127.0.0.1:8642")
    assert FRONT.is_own_origin("https://bench.example", "127.0.0.1:8642")
    assert FRONT.is_own_origin("https://bench.example", "bench.example")
    for other in (
        "",
        "null",
        "http://127.0.0.1:8643",
        "http://127.0.0.1",
        "https://127.0.0.1:8642",
        "http://localhost:8642",
        "http://evil.example",
        "http://127.0.0.1:8642.evil.example",
        "file://",
    ):
        assert not ALONE.is_own_origin(other, "127.0.0.1:8642")
    for host in ("127.0.0.1:8642", "bench.example", "Bench.example"):
        assert not FRONT.is_own_origin("http://bench.example", host)
    assert Served("127.0.0.1", 1, "http://bench.example").is_own_origin(
        "http://bench.example", "bench.example"
    )
    assert not ALONE.is_own_origin("", "")


@pytest.mark.parametrize(
    ("address", "public", "opened"),
    [
        ("127.0.0.1", "", False),
        ("localhost", "", False),
        ("127.8.8.8", "", False),
        ("::1", "", False),
        ("0.0.0.0", "", True),
        ("::", "", True),
        ("192.168.1.20", "", True),
        ("127.0.0.1", "https://bench.example", True),
    ],
)
def test_what_others_can_reach(address: str, public: str, opened: bool) -> None:
    assert served_at(address, 8642, public).is_open is opened


def test_a_public_address_is_kept_as_a_browser_writes_it() -> None:
    assert served_at("127.0.0.1", 1, "https://Bench.Example:443/").public == "https://bench.example"
    assert served_at("127.0.0.1", 1, "http://bench.example:8080").public == "http://bench.example:8080"
    assert served_at("127.0.0.1", 1, "https://[2001:DB8::5]:443").public == "https://[2001:db8::5]"
    assert served_at("127.0.0.1", 1, "https://bench.example").by_tls
    assert not served_at("127.0.0.1", 1, "http://bench.example").by_tls


@pytest.mark.parametrize(
    ("address", "port", "public", "said"),
    [
        ("bench.local", 8642, "", "'bench.local' is no address of this machine; give its number"),
        ("", 8642, "", "is no address"),
        ("192.168.1.300", 8642, "", "is no address"),
        ("127.0.0.1", 0, "", "there is no port 0"),
        ("127.0.0.1", 65536, "", "there is no port 65536"),
        ("127.0.0.1", 8642, "bench.example", "write it as https://bench.example"),
        ("127.0.0.1", 8642, "ftp://bench.example", "is no address of a page"),
        ("127.0.0.1", 8642, "https://bench.example/kiosk", "is no address of a page"),
        ("127.0.0.1", 8642, "https://me@bench.example", "is no address of a page"),
        ("127.0.0.1", 8642, "https://bench.example:x", "is no address of a page"),
    ],
)
def test_what_is_no_address_is_one_line(address: str, port: int, public: str, said: str) -> None:
    with pytest.raises(WrongAddress) as refused:
        served_at(address, port, public)
    assert said in str(refused.value)
