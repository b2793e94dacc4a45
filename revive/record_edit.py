"""Change the text of a record in place: comments, order and layout of everything else stay. Knows text, not files."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

_PLAIN = re.compile(r"[A-Za-z0-9_]([A-Za-z0-9_.+/()' -]|:(?=[A-Za-z0-9]))*")
_KEY = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_LOOKS_ODD = re.compile(r".*( #|: )|.*[ :]$|(?i:null|true|false|yes|no|on|off|~)$|0\d", re.DOTALL)
NEW_RECORD = "record: 1\n"


def flow_text(value: Any) -> str:
    """A value as one line of YAML that our reader takes back unchanged, within brackets too."""
    if isinstance(value, Mapping):
        pairs = [(key if _KEY.fullmatch(key) else flow_text(key), flow_text(item)) for key, item in value.items()]
        return "{" + ", ".join(f"{key}: {item}" for key, item in pairs) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow_text(item) for item in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.10g}" if abs(value) < 1e10 else repr(value)
    text = str(value)
    if (_PLAIN.fullmatch(text) and not _LOOKS_ODD.match(text)) or text in ("yes", "no"):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return '"' + "".join(char for char in escaped if char.isprintable()) + '"'


class RecordText:
    """The text of one record under change. text: as it stands now, with plain line ends."""

    def __init__(self, data: bytes) -> None:
        """data: the bytes of a record that has been read without problems, or of an empty file."""
        self._mark = data.startswith(b"\xef\xbb\xbf")
        text = data.decode("utf-8-sig")
        self._crlf = "\r\n" in text
        self.text = text.replace("\r\n", "\n") or NEW_RECORD
        if not self.text.endswith("\n"):
            self.text += "\n"

    def as_bytes(self) -> bytes:
        """The text with the line ends and byte order mark that the file had."""
        text = self.text.replace("\n", "\r\n") if self._crlf else self.text
        return (b"\xef\xbb\xbf" if self._mark else b"") + text.encode("utf-8")

    def put(self, section: str, key: str, value: Any) -> None:
        """Set one entry of a section such as `answers`; the section is made where it is missing."""
        node = self._block(section, mapping=True)
        if node is None:
            self._append_section(section, f"  {key}: {flow_text(value)}\n")
            return
        for key_node, value_node in node.value:
            if key_node.value == key:
                start, end = value_node.start_mark.index, _end(value_node)
                if end == start:  # an empty value: the text goes after the colon
                    start = end = self.text.index(":", key_node.end_mark.index) + 1
                    self._splice(start, end, " " + flow_text(value))
                else:
                    self._splice(start, end, flow_text(value))
                return
        last = node.value[-1][1]
        indent = " " * node.value[0][0].start_mark.column
        self._insert_line(max(_end(last), node.value[-1][0].end_mark.index), f"{indent}{key}: {flow_text(value)}")

    def append(self, section: str, item: Mapping[str, Any]) -> None:
        """Add one item to a list section such as `readings`; the section is made where it is missing."""
        node = self._block(section, mapping=False)
        if node is None:
            self._append_section(section, f"  - {flow_text(item)}\n")
            return
        line_start = self.text.rfind("\n", 0, node.value[0].start_mark.index) + 1
        dash = self.text.index("-", line_start)
        self._insert_line(_end(node.value[-1]), f"{' ' * (dash - line_start)}- {flow_text(item)}")

    def take(self, section: str, key: str) -> None:
        """Take one entry out, with its line; the section stays."""
        node = self._block(section, mapping=True)
        for key_node, value_node in node.value if node else ():
            if key_node.value == key:
                start = self.text.rfind("\n", 0, key_node.start_mark.index) + 1
                end = self.text.find("\n", max(_end(value_node), key_node.end_mark.index)) + 1
                self._splice(start, end, "")
                if len(node.value) == 1:
                    self._splice(start, start, "  {}\n")
                return

    def _top(self) -> Any:
        import yaml

        return yaml.compose(self.text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))

    def _find(self, section: str) -> tuple[Any, Any] | None:
        for key_node, value_node in self._top().value:
            if key_node.value == section:
                return key_node, value_node
        return None

    def _block(self, section: str, mapping: bool) -> Any:
        """The section's node in block style with at least one entry, or None where it is missing or empty."""
        top = self._top()
        if top.flow_style:
            self._unfold(top)
            top = self._top()
        found = self._find(section)
        if found is None:
            return None
        key_node, node = found
        entries = node.value if not isinstance(node.value, str) else []
        if entries and not node.flow_style:
            return node
        start, end = key_node.end_mark.index, max(_end(node), key_node.end_mark.index + 1)
        if mapping:
            lines = [f"  {self._slice(k)}: {self._slice(v)}" for k, v in entries]
        else:
            lines = [f"  - {self._slice(item)}" for item in entries]
        if not lines:
            line_start = self.text.rfind("\n", 0, key_node.start_mark.index) + 1
            line_end = self.text.find("\n", end) + 1
            comment = self.text[end : line_end - 1].strip()
            self._splice(line_start, line_end, f"{comment}\n" if comment.startswith("#") else "")
            return None
        self._splice(start, end, ":\n" + "\n".join(lines))
        again = self._find(section)
        return again[1] if again else None

    def _unfold(self, top: Any) -> None:
        """Turn a record that is one flow mapping into lines."""
        lines = [f"{self._slice(key)}: {self._slice(value)}\n" for key, value in top.value]
        self._splice(top.start_mark.index, _end(top), "".join(lines).rstrip("\n"))

    def _slice(self, node: Any) -> str:
        return " ".join(self.text[node.start_mark.index : _end(node)].split("\n"))

    def _splice(self, start: int, end: int, new: str) -> None:
        self.text = self.text[:start] + new + self.text[end:]

    def _insert_line(self, after: int, line: str) -> None:
        end = self.text.find("\n", after)
        end = len(self.text) if end < 0 else end
        self._splice(end, end, "\n" + line)

    def _append_section(self, section: str, body: str) -> None:
        self.text += f"{section}:\n{body}"


def _end(node: Any) -> int:
    """Where a node's own text ends; block collections end with their last entry, not with what follows them."""
    if isinstance(node.value, str) or node.flow_style:
        end = node.end_mark.index
        if isinstance(node.value, str) and node.style in ("|", ">"):
            return max(int(node.start_mark.index), int(end) - 1)
        return int(end)
    entries: Sequence[Any] = node.value
    if not entries:
        return int(node.end_mark.index)
    last = entries[-1]
    return max(_end(last[1]), int(last[0].end_mark.index) + 1) if isinstance(last, tuple) else _end(last)
