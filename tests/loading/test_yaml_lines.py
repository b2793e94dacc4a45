"""Text -> values and lines: what is kept as typed, what is refused, and where."""

import cProfile

import pytest

from revive.loading.yaml_lines import MOST_LEVELS, read


def codes(data: bytes, **limits: int) -> list[tuple[int, str]]:
    return [(problem.line, problem.code) for problem in read(data, "f.yaml", **limits).problems]


def test_words_stay_as_typed_and_only_plain_true_and_false_are_special():
    found = read(b"a: no\nb: [010, 12:30, 1.50, ~, null, 2026-11-21]\nc: true\nd: 'true'\ne: False\n", "f.yaml")

    assert found.problems == []
    assert found.value == {
        "a": "no",
        "b": ["010", "12:30", "1.50", "~", "null", "2026-11-21"],
        "c": True,
        "d": "true",
        "e": "False",
    }


def test_every_key_and_item_knows_its_line():
    value = read(b"a: 1\nb:\n  - x\n  -\n    c: 2\n\n    d: 3\n", "f.yaml").value

    assert value.lines == {"a": 1, "b": 2}
    assert value["b"].lines == [3, 5]
    assert value["b"][1].lines == {"c": 5, "d": 7}


def test_windows_line_ends_and_a_byte_order_mark_change_nothing():
    found = read(b"\xef\xbb\xbfa: 1\r\nb: [x,\r\n  y]\r\n", "f.yaml")

    assert (found.value, found.value.lines, found.problems) == ({"a": "1", "b": ["x", "y"]}, {"a": 1, "b": 2}, [])


def test_everything_refused_in_one_file_is_told_at_once_and_the_rest_is_still_read():
    found = read(b"a: &x 1\nb: *x\nc: !!str 3\nc: 4\n? [1, {a: b}]\n: 3\nd: 5\n<<: {e: 1}\n", "f.yaml")

    assert [(problem.line, problem.code) for problem in found.problems] == [
        (1, "yaml-anchor"),
        (2, "yaml-alias"),
        (3, "yaml-tag"),
        (4, "equal-keys"),
        (5, "yaml-key"),
        (8, "yaml-merge"),
    ]
    assert found.value == {"a": "1", "b": "*x", "c": "3", "d": "5"}


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        (b"a: b: c\n", [(1, "yaml-syntax")]),
        (b"x: 1\na: [1, 2\nb: 3\n", [(3, "yaml-syntax")]),
        (b"a: 'x\nb: c\n", [(2, "yaml-syntax")]),
        (b"a: 1\n---\nb: 2\n", [(2, "yaml-documents")]),
        (b"a: 1\nb: \xff\n", [(2, "not-utf8")]),
        (b"a: 1\nb: x\x1b[0m\nc: \x00\n", [(2, "control-character"), (3, "control-character")]),
        ("a: left\u202eright\n".encode(), [(1, "control-character")]),
        (b'a: 1\nb: "\\x1b[0m"\n', [(2, "control-character")]),
        (b'a: "tab \\t here"\n', [(1, "control-character")]),
        (b"a:\n\tb: 1\n", [(2, "tab")]),
        (b"a: 1\rb: 2\r", [(1, "control-character"), (1, "control-character")]),
        (b"a: !foo\n", [(1, "yaml-tag")]),
        (b"%TAG !e! tag:x,2000:\n---\na: !e!foo 1\n", [(3, "yaml-tag")]),
        (b"a: {b: 1, b: 2}\n", [(1, "equal-keys")]),
    ],
)
def test_what_is_refused_has_its_line(data, wanted):
    assert codes(data) == wanted


def test_a_file_beyond_its_size_limit_is_not_parsed():
    assert codes(b"a: 1\n" * 3, most_bytes=14) == [(1, "too-large")]
    assert codes(b"a: 111111111\n", most_bytes=14) == []


def test_forty_levels_are_read_and_one_more_is_refused():
    assert codes(b"[" * MOST_LEVELS + b"]" * MOST_LEVELS) == []
    assert codes(b"\n" + b"[" * (MOST_LEVELS + 1) + b"]" * (MOST_LEVELS + 1)) == [(2, "too-deep")]


def test_very_deep_nesting_is_refused_without_a_crash():
    assert [code for _, code in codes(b"[" * 100_000)] == ["too-deep"]
    assert [code for _, code in codes(b"".join(b" " * level + b"a:\n" for level in range(1500)))] == ["too-deep"]


def test_an_empty_file_holds_nothing_and_an_empty_value_is_an_empty_text():
    assert read(b"# only a comment\n", "f.yaml").value is None
    assert read(b"a:\nb: ''\n", "f.yaml").value == {"a": "", "b": ""}


def test_four_times_the_text_takes_four_times_the_calls():
    def calls(times: int) -> int:
        text = b"".join(b"k%d: {a: b, c: [d, e], f: some words in a line}\n" % at for at in range(times))
        profile = cProfile.Profile()
        profile.runcall(read, text, "f.yaml")
        return sum(row.callcount for row in profile.getstats())

    assert 3.9 < calls(4000) / calls(1000) < 4.1


def test_the_thousandth_problem_is_the_last_that_is_told():
    for bad in (b"a: 1\n" + b"a: 2\n" * 5000, b"a:\n" + b"\t- x\n" * 5000, b"a:\n" + b"  - &x y\n" * 5000):
        found = codes(bad)

        assert len(found) == 1001 and found[-1] == (1002, "too-many")
