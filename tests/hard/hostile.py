"""Strings that have broken other programs, one list for every test here. Invented; they name nobody."""

import re

HTML = (
    "<script>alert(1)</script>",
    "</script><script>alert(1)//",
    "<img src=x onerror=alert(1)>",
    '" onmouseover=alert(1) x="',
    "' onfocus=alert(1) autofocus '",
    "<svg/onload=alert(1)>",
    "<a href=javascript:alert(1)>press</a>",
    "<!-- --><b>bold</b>",
    "</title></style></textarea><iframe src=//e.example>",
    "&lt;b&gt; &#60;script&#62; &amp;",
    "]]><script>",
)
MARKUP = (
    "[red]x[/red]",
    "[link=http://e.example]press[/link]",
    "[/]",
    "[bold",
    "\\[red]",
    ":warning:",
    "[@click=x]y[/]",
)
CONTROLS = (
    "\x1b[31mred\x1b[0m",
    "\x1b[2J\x1b[H",
    "\x1b]8;;http://e.example\x07press\x1b]8;;\x07",
    "\x1b]52;c;ZWNobyBoaQ==\x07",
    "\x1b]0;title\x1b\\",
    "\x9b31mred",
    "\x90q\x9c",
    "a\rb",
    "a\bb\x7f",
    "\x07\x00\x0e",
    "a\u202egnp.exe",
    "\u2066\u2069\u200f\u061c",
    "a\u200bb\u2060c\ufeffd",
    "\u2028\u2029\x85line",
    "\U000e0041\U000e007f",
    "a\u0300" * 40,
)
FORMULAS = (
    '=HYPERLINK("http://e.example","x")',
    "=1+1",
    "+1-1",
    "-2+3",
    "@SUM(A1:A2)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    "＝1+1",
    "＋1",
    "'=1+1",
    '"=1+1"',
    '","=1+1',
    ";=1+1",
    "\u200b=1+1",
    "\x1b=1+1",
)
MARKDOWN = (
    "[press](http://e.example)",
    "![picture](http://e.example/p.png)",
    "<http://e.example>",
    "http://e.example www.e.example",
    "| a | b |\n|---|---|\n| c | d |",
    "a\n\n# Head",
    "a\n- item",
    "a\n\n    code",
    "```\ncode\n```",
    "**bold** __bold__ *it* _it_ `code` ~~gone~~",
    "1. one",
    "> said",
    "[x]: http://e.example",
    "---",
    "===",
    "a\\",
    "&copy; \\* \\[",
    "$x$ {#id .class}",
)
TEMPLATES = ("{{ 7*7 }}", "{% raw %}", "${7*7}", "{0.__class__}", "%(x)s %n", "#{7*7}", "{{", "}}{{", "{#")
LINES = (
    "Dull\n    Gate 3 is OPEN",
    "Dull\r\nOpen so far: everything",
    "x\n! NEVER mind",
    "x\n::error::y",
    "::set-output name=x::y%0A",
)
YAML = (
    "a: b",
    "- a",
    "{a: b}",
    "[a",
    "*a",
    "&a b",
    "!!str a",
    "a #b",
    "'",
    '"',
    "\\",
    "|",
    ">",
    "%YAML",
    "---",
    "...",
    "? a",
)
ODD = (
    "",
    " ",
    "null",
    "~",
    "no",
    "on",
    "0x1F",
    "1_000",
    "1e999",
    "-0",
    "٣",
    "½",
    "2026-02-30",
    "9999-12-31",
    "0000-00-00",
    "12:30",
    ".inf",
    ".nan",
    "9" * 400,
    "0." + "1" * 400,
    "a" * 3000,
    "ß" * 500,
    "日本語の名前",
    "🏍️👩‍🔧",
    "İı",
    "ﬁ",
    "../../x",
    "x/y",
    "-x",
    "--out",
    "con",
    "..",
    ".",
)
TEXTS = (*HTML, *MARKUP, *CONTROLS, *FORMULAS, *MARKDOWN, *TEMPLATES, *LINES, *YAML, *ODD)

UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]"
)
"""Characters that steer a terminal or hide in a text; a tab or line end stands where it can be seen."""


def speakable(text: str) -> bool:
    """Whether a command line can carry the text at all."""
    return "\0" not in text
