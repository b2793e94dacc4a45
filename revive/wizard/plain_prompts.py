"""Ask by numbered lines on standard input: for screen readers, simple terminals and pipes. Moves no cursor, uses no colour."""

import shutil
import sys
from collections.abc import Sequence

from revive.text import inert
from revive.wizard.screen import WIDEST, Option, Reply, fits, ticked_after, wrapped

WORDS = {
    "b": "back",
    "back": "back",
    "<": "back",
    "f": "forward",
    "forward": "forward",
    ">": "forward",
    "?": "help",
    "h": "help",
    "help": "help",
}


class PlainScreen:
    """A terminal that is only written and read by lines."""

    def say(self, text: str = "", indent: int = 0, hang: int = 0) -> None:
        width = min(shutil.get_terminal_size((80, 24)).columns - 1, WIDEST)
        for line in wrapped(text, width, indent, hang):
            print(fits(line, sys.stdout.encoding), flush=True)

    def count(self, text: str) -> None:
        print(fits(text, sys.stdout.encoding), end=" ", flush=True)

    def forget_keys(self) -> None:
        """Nothing is dropped: a line on a pipe is an answer that was meant."""

    def choose(self, options: Sequence[Option], current: str = "") -> Reply:
        numbered = self._show(options, [current])
        keep = next((option for option in options if current and option.value == current), None)
        hint = f"Number or letter{', Enter keeps the answer' if keep else ''}. ? help, b back: "
        while True:
            typed = self._read(hint).lower()
            if not typed and keep:
                return Reply("key", keep.key) if keep.key else Reply("value", keep.value)
            if reply := self._common(typed, options):
                return reply
            if typed.isdigit() and 1 <= int(typed) <= len(numbered):
                return Reply("value", numbered[int(typed) - 1].value)
            self.say(f"'{typed}' is not in the list. Type one of the numbers or letters above.")

    def tick(self, options: Sequence[Option], ticked: Sequence[str], alone: Sequence[str]) -> Reply:
        numbered = self._show(options, ticked)
        keep = ", Enter keeps the answer" if ticked else ""
        while True:
            typed = self._read(f"Numbers of all that apply, such as 1,3{keep}. ? help, b back: ").lower()
            if not typed and ticked:
                return Reply("value", tuple(ticked))
            if reply := self._common(typed, options):
                return reply
            parts = typed.replace(",", " ").split()
            if parts and all(part.isdigit() and 1 <= int(part) <= len(numbered) for part in parts):
                chosen: tuple[str, ...] = ()
                for value in dict.fromkeys(numbered[int(part) - 1].value for part in parts):
                    chosen = ticked_after(value, chosen, alone)
                if len(chosen) == len(set(parts)):
                    return Reply("value", chosen)
                self.say("One of these says that there is nothing; it does not go with the others. Type again.")
            else:
                self.say(f"'{typed}' is not understood. Type numbers from the list, parted by commas.")

    def line(self, hint: str, keys: Sequence[Option] = (), free: bool = False) -> Reply:
        self._show(keys, ())
        typed = self._read(f"{hint}: " if free else f"{hint}. ? help, b back: ")
        if not free and (reply := self._common(typed.lower(), keys)):
            return reply
        return self._common(typed.lower(), keys, ()) or Reply("value", typed)

    def _show(self, options: Sequence[Option], chosen: Sequence[str]) -> list[Option]:
        numbered = [option for option in options if not option.key]
        for place, option in enumerate(numbered, start=1):
            mark = " (your answer now)" if option.value in chosen else ""
            self.say(f"{place}. {option.text}{mark}", 2, 3)
        for option in options:
            if option.key:
                self.say(f"{option.key}. {option.text}{' (your answer now)' if option.value in chosen else ''}", 2, 3)
        return numbered

    def _common(self, typed: str, options: Sequence[Option], words: Sequence[str] = tuple(WORDS)) -> Reply | None:
        for option in options:
            if option.key and option.key == typed:
                return Reply("key", option.key)
        return Reply(WORDS[typed]) if typed in words else None

    def _read(self, hint: str) -> str:
        print(fits(hint, sys.stdout.encoding), end="", flush=True)
        given = sys.stdin.readline()
        if not given:
            print()
            raise EOFError
        if not sys.stdin.isatty():
            print(fits(inert(given.strip()), sys.stdout.encoding))
        return given.strip()
