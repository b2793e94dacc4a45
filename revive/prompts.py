"""Ask by keys: arrows, 1-9, letters, Enter. The only module that imports questionary; decides nothing.

The library's prompts know no way back, no help and no pages; the keys for them are laid over its own here. It is
imported when the first prompt is due, so that the question itself is on the screen before.
"""

import os
import shutil
import sys
from collections.abc import Callable, Sequence
from typing import Any

from revive.wizard.screen import WIDEST, Option, Reply, fits, pages, ticked_after, wrapped

TURN, TICK = "turn the page", "tick"
LOOKS = [
    ("qmark", ""),
    ("question", "nobold"),
    ("answer", ""),
    ("pointer", "bold"),
    ("highlighted", "bold"),
    ("selected", "noreverse"),
]
KeyEvent = Any


class KeyScreen:
    """A terminal that takes single keys. lines: how many were printed since the last prompt; lists fit below them."""

    def __init__(self) -> None:
        self.lines = 0
        if os.environ.get("NO_COLOR"):  # which older releases of the library below know only by this name
            os.environ.setdefault("PROMPT_TOOLKIT_COLOR_DEPTH", "DEPTH_1_BIT")

    def say(self, text: str = "", indent: int = 0) -> None:
        for line in wrapped(text, _width(), indent):
            print(_fits(line), flush=True)
            self.lines += 1

    def count(self, text: str) -> None:
        print(_fits(text), end=" ", flush=True)

    def forget_keys(self) -> None:
        try:
            import termios

            termios.tcflush(sys.stdin, termios.TCIFLUSH)
        except ImportError:  # a Windows console
            import msvcrt

            while msvcrt.kbhit():  # type: ignore[attr-defined,unused-ignore]
                msvcrt.getwch()  # type: ignore[attr-defined,unused-ignore]

    def choose(self, options: Sequence[Option], current: str = "") -> Reply:
        return self._listed(options, (current,), (), False)

    def tick(self, options: Sequence[Option], ticked: Sequence[str], alone: Sequence[str]) -> Reply:
        return self._listed(options, tuple(ticked), alone, True)

    def line(self, hint: str, keys: Sequence[Option] = (), free: bool = False) -> Reply:
        for option in keys:
            self.say(f"{option.key}  {option.text}", 2)
        self.say(hint + ("" if free else ".  ? help, left back"), 2)
        import questionary

        presses = {"left": Reply("back"), "right": Reply("forward"), "?": Reply("help"), "escape": Reply("back")}
        asked = questionary.text("", qmark=" >", style=questionary.Style(LOOKS), erase_when_done=True)
        given = _run(asked, {}, {key: reply for key, reply in presses.items() if not free or key != "right"})
        if isinstance(given, Reply):
            return self._done(given)
        typed = str(given).strip()
        letter = next((option.key for option in keys if option.key == typed.lower()), "")
        if letter:
            return self._done(Reply("key", letter))
        word = {"b": "back", "back": "back", "f": "forward", "help": "help"}.get(typed.lower())
        return self._done(Reply(word) if word and not free else Reply("value", typed))

    def _listed(self, options: Sequence[Option], now: tuple[str, ...], alone: Sequence[str], ticking: bool) -> Reply:
        """Show the options page by page until one is taken or the ticks are done."""
        numbered = [option for option in options if not option.key]
        letters = [option for option in options if option.key]
        texts = [_entry(option.text, 7 if ticking else 3) for option in numbered]
        room = shutil.get_terminal_size((80, 24)).lines - self.lines - len(letters) - 4
        spread = pages([text.count("\n") + 1 for text in texts], max(5, room))
        page = next((place for place, part in enumerate(spread) if any(numbered[i].value in now for i in part)), 0)
        wanted = now[0] if now else ""
        keys = "space or 1-9 ticks, Enter when done" if ticking else "1-9, or arrows and Enter"
        while True:
            shown: list[tuple[Option, str]] = []
            for number, i in enumerate(spread[page] if numbered else (), start=1):
                box = f"[{'x' if numbered[i].value in now else ' '}] " if ticking else ""
                shown.append((numbered[i], f"{number} {box}{'' if ticking else ' '}{texts[i]}"))
            turns = [Option("", f"more, page {page + 1} of {len(spread)}", "+")] if len(spread) > 1 else []
            shown += [(option, f"{option.key}  {_entry(option.text, 3)}") for option in [*turns, *letters]]
            at = next((place for place, (option, _) in enumerate(shown) if wanted and option.value == wanted), 0)
            reply = _run_list(shown, at, f"{keys}.  ? help, b back", ticking)
            if reply.kind == TURN:
                page, wanted = (page + int(reply.value)) % len(spread), ""
            elif reply.kind == TICK:
                now, wanted = ticked_after(str(reply.value), now, alone), str(reply.value)
            elif reply.kind == "value" and ticking:
                return self._done(Reply("value", tuple(option.value for option in numbered if option.value in now)))
            else:
                return self._done(reply)

    def _done(self, reply: Reply) -> Reply:
        self.lines = 0
        return reply


def _run_list(shown: Sequence[tuple[Option, str]], at: int, hint: str, ticking: bool) -> Reply:
    """Run one page of a list. Numbers and letters act at once; Enter takes what is pointed at."""
    import questionary
    from prompt_toolkit.application import Application
    from prompt_toolkit.layout import FormattedTextControl, HSplit, Layout, Window
    from questionary.prompts.common import InquirerControl

    choices = [questionary.Choice(_fits(title), value=str(place)) for place, (_, title) in enumerate(shown)]
    control: Any = InquirerControl(
        choices, pointer=">", use_indicator=False, initial_choice=choices[at], focusable=True
    )
    head = Window(FormattedTextControl(" " + _fits(hint)), height=1)
    asked = questionary.Question(
        Application(
            layout=Layout(HSplit([head, Window(control)]), focused_element=control),
            style=questionary.Style(LOOKS),
            erase_when_done=True,
        )
    )

    def take(place: int) -> Reply:
        option = shown[place][0]
        if option.key == "+":
            return Reply(TURN, 1)
        return Reply("key", option.key) if option.key else Reply(TICK if ticking else "value", option.value)

    replies = {"left": Reply("back"), "b": Reply("back"), "escape": Reply("back"), "right": Reply("forward")}
    replies |= {"f": Reply("forward"), "?": Reply("help"), "h": Reply("help")}
    replies |= {"+": Reply(TURN, 1), "pagedown": Reply(TURN, 1), "-": Reply(TURN, -1), "pageup": Reply(TURN, -1)}
    for place, (option, _) in enumerate(shown):
        replies[option.key or str(place + 1)] = take(place)

    def enter(event: KeyEvent) -> None:
        reply = take(control.pointed_at)
        event.app.exit(result=Reply("value") if reply.kind == TICK else reply)

    def space(event: KeyEvent) -> None:
        if ticking:
            event.app.exit(result=take(control.pointed_at))

    moves: dict[str, Callable[[KeyEvent], None]] = {
        "down": lambda event: control.select_next(),
        "up": lambda event: control.select_previous(),
        "enter": enter,
        " ": space,
    }
    reply = _run(asked, moves, replies)
    assert isinstance(reply, Reply)
    return reply


def _run(asked: Any, moves: dict[str, Callable[[KeyEvent], None]], replies: dict[str, Reply]) -> Any:
    """Run a prompt of the library with our keys laid over its own. In a text line they count only while it is empty."""
    from prompt_toolkit.key_binding import KeyBindings, merge_key_bindings

    bindings = KeyBindings()

    def interrupted(event: KeyEvent) -> None:
        event.app.exit(exception=KeyboardInterrupt)

    def answering(key: str, reply: Reply) -> Callable[[KeyEvent], None]:
        def press(event: KeyEvent) -> None:
            buffer = event.current_buffer
            if not buffer.text or key == "escape":
                event.app.exit(result=reply)
            elif key in ("left", "right"):
                (buffer.cursor_left if key == "left" else buffer.cursor_right)()
            else:
                buffer.insert_text(key)

        return press

    def closed(event: KeyEvent) -> None:
        event.app.exit(exception=EOFError)

    for key, reply in replies.items():
        bindings.add(key, eager=True)(answering(key, reply))
    for key, move in moves.items():
        bindings.add(key, eager=True)(move)
    bindings.add("c-d", eager=True)(closed)
    bindings.add("c-c", eager=True)(interrupted)
    application = asked.application
    application.ttimeoutlen = 0.1
    application.key_bindings = merge_key_bindings([b for b in (application.key_bindings, bindings) if b])
    os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")  # the terminal is never asked where its cursor is
    return asked.unsafe_ask()


def _entry(text: str, indent: int) -> str:
    """An option's text, its further lines set in below the first."""
    return ("\n" + " " * (indent + 3)).join(wrapped(text, _width() - indent - 3))


def _width() -> int:
    return min(shutil.get_terminal_size((80, 24)).columns - 1, WIDEST)


def _fits(text: str) -> str:
    return fits(text, sys.stdout.encoding)
