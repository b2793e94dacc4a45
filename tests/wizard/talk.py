"""Hold a conversation with the program through a pseudo-terminal, as a person at a keyboard would."""

import os
import re
import signal
import sys
import time
from pathlib import Path

import pexpect

_ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[=>]|\x1b\][^\x07]*\x07|[\r\x07]")
KEYS = {"up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D", "enter": "\r", "space": " "}
KEYS |= {"ctrl-c": "\x03", "ctrl-d": "\x04", "escape": "\x1b"}
PATIENCE_S = 30


def _heed_ctrl_c() -> None:
    """What a shell starts behind itself is told to pass Ctrl-C over, and would hand that on to what it starts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Talk:
    """One run of the program. heard: all that it printed, without escape sequences, white space made one blank."""

    def __init__(self, *arguments: str, columns: int = 80, rows: int = 24, **environment: str) -> None:
        wanted = dict(os.environ, TERM="xterm-256color", PYTHONPATH=str(Path(__file__).parents[2]))
        for name in ("NO_COLOR", "COLUMNS", "LINES"):  # the terminal itself tells its size
            wanted.pop(name, None)
        wanted.update(environment)
        command = ["-m", "revive", *arguments]
        self.child = pexpect.spawn(
            sys.executable,
            command,
            env=wanted,
            dimensions=(rows, columns),
            encoding="utf-8",
            codec_errors="replace",
            preexec_fn=_heed_ctrl_c,
        )
        self.child.delaybeforesend = None
        self.raw, self._read = "", 0

    @property
    def heard(self) -> str:
        return " ".join(_ESCAPES.sub("", self.raw).split())

    def until(self, *texts: str) -> str:
        """Listen until each text has been said since the last key; what was said since then."""
        end = time.monotonic() + PATIENCE_S
        while True:
            since = self.heard[self._read :]
            if all(" ".join(text.split()) in since for text in texts):
                return since
            try:
                self.raw += self.child.read_nonblocking(65536, timeout=0.05)
            except pexpect.TIMEOUT:
                pass
            except pexpect.EOF:
                self.raw += self.child.before if isinstance(self.child.before, str) else ""
                since = self.heard[self._read :]
                missing = [text for text in texts if " ".join(text.split()) not in since]
                assert not missing, f"ended without saying {missing}; it said:\n{self.heard[-1500:]}"
            assert time.monotonic() < end, f"waited for {texts}; it said:\n{self.heard[-1500:]}"

    def press(self, *keys: str) -> None:
        """Press keys by name, or type text."""
        self._read = len(self.heard)
        for key in keys:
            self.child.send(KEYS.get(key, key))

    def ends(self) -> int:
        """Listen to the end; the exit code, or minus the signal."""
        try:
            while True:
                self.raw += self.child.read_nonblocking(65536, timeout=PATIENCE_S)
        except pexpect.EOF:
            pass
        self.child.close()
        return self.child.exitstatus if self.child.exitstatus is not None else -int(self.child.signalstatus or 0)
