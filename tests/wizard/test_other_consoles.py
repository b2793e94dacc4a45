"""Systems without POSIX terminals and file locks, imitated: what is used there in their place."""

import sys
from types import SimpleNamespace

from revive.prompts import KeyScreen
from revive.record_save import save


def test_keys_pressed_during_a_rest_are_forgotten_on_a_windows_console(monkeypatch):
    waiting = list("1y\r")
    console = SimpleNamespace(kbhit=lambda: bool(waiting), getwch=lambda: waiting.pop(0))
    monkeypatch.setitem(sys.modules, "termios", None)  # importing it fails, as it does there
    monkeypatch.setitem(sys.modules, "msvcrt", console)

    KeyScreen().forget_keys()

    assert waiting == []


def test_a_record_is_saved_where_the_system_has_no_file_locks(monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "fcntl", None)
    record = tmp_path / "twin.yaml"
    record.write_bytes(b"record: 1\n")

    save(record, b"record: 1\nname: Twin\n", b"record: 1\n")

    assert record.read_bytes() == b"record: 1\nname: Twin\n"
    assert (tmp_path / "twin.yaml.bak").read_bytes() == b"record: 1\n"
