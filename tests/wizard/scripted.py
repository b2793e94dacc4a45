"""A screen that answers by a rule of its own and remembers what was said; for interviews without a terminal."""

from collections.abc import Callable, Iterable, Sequence

from revive.wizard.screen import Option, Reply


class ScriptedScreen:
    """answer: given the options (empty for a typed line), the reply. said: every line, prompts marked by '?'."""

    def __init__(self, answer: Callable[[str, Sequence[Option]], Reply]) -> None:
        self.answer, self.said = answer, list[str]()

    def say(self, text: str = "", indent: int = 0) -> None:
        self.said.append(text)

    def count(self, text: str) -> None:
        self.said.append(text)

    def forget_keys(self) -> None:
        self.said.append("(keys forgotten)")

    def choose(self, options: Sequence[Option], current: str = "") -> Reply:
        return self.answer("choose", options)

    def tick(self, options: Sequence[Option], ticked: Sequence[str], alone: Sequence[str]) -> Reply:
        return self.answer("tick", options)

    def line(self, hint: str, keys: Sequence[Option] = (), free: bool = False) -> Reply:
        self.said.append(hint)
        return self.answer("line", keys)

    def text(self) -> str:
        return "\n".join(self.said)


def replies(*given: str | tuple[str, ...], then_leave: bool = False) -> Callable[[str, Sequence[Option]], Reply]:
    """Answers in turn: a letter of the options, "back", "forward", "help", else a value.

    then_leave: after the last of them every question is left open; otherwise StopIteration ends the sitting.
    """
    left = iter(given)

    def answer(kind: str, options: Iterable[Option]) -> Reply:
        value = next(left, None)
        if value is None and not then_leave:
            raise StopIteration
        if value is None:
            return Reply("key", "l") if any(option.key == "l" for option in options) else Reply("value", "")
        if value in ("back", "forward", "help"):
            return Reply(str(value))
        if any(option.key == value for option in options):
            return Reply("key", value)
        known = [option.value for option in options]
        assert kind != "choose" or value in known, f"{value} is not offered: {known}"
        return Reply("value", value)

    return answer
