"""The place of every key, against the standard TOML parser and the text itself."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.scenario.paths import format_path, parse_path
from energysim.scenario.positions import Position, find_positions


def every_path(value, path=()):
    """Walk what the standard parser found."""
    items = ()
    if isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value)
    for key, inner in items:
        yield (*path, key), inner
        yield from every_path(inner, (*path, key))


def offset(text, position):
    """Turn a line and column back into a place in the text."""
    lines = text.split("\n")
    return sum(len(line) + 1 for line in lines[: position.line - 1]) + position.column - 1


def test_a_hand_counted_file():
    text = (
        '# a day\n[wind]\nspeed = "9 kn"  # light\n\n'
        '[[leg]]\n  do  =  "hold"\n[[leg]]\nfor="2 h"\n'
    )
    places = find_positions(text)
    assert places["wind",].key == Position(2, 1)
    assert places["wind", "speed"].key == Position(3, 1)
    assert places["wind", "speed"].value == Position(3, 9)
    assert places["leg", 0].key == Position(5, 1)
    assert places["leg", 0, "do"].key == Position(6, 3)
    assert places["leg", 0, "do"].value == Position(6, 10)
    assert places["leg", 1, "for"].value == Position(8, 5)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("", id="empty"),
        pytest.param("# only a comment", id="comment"),
        pytest.param('a."b.c".\'d e\' = 1\n"f\\u0041" = 2', id="quoted-and-dotted-keys"),
        pytest.param('a = """\n[b]\nc = 1\n"""\nd = 2', id="table-look-alike-in-a-text"),
        pytest.param("a = '''x'y''z'''\nb = 1", id="quotes-inside-a-literal"),
        pytest.param('a = """x""y\\"""" \nb = 1', id="quotes-inside-a-text"),
        pytest.param('a = """x"""""\nb = 1', id="two-quotes-at-the-very-end"),
        pytest.param(
            "a = [\n  1, # one ]\n  [2, 3],\n  { b = 4, c.d = [5] },\n]\ne = 6", id="nested"
        ),
        pytest.param(
            "[a]\nb = {}\nc = []\n[[a.d]]\n[[a.d.e]]\nf = 1\n[[a.d]]\n[[a.d.e]]\nf = 2",
            id="rows-in-rows",
        ),
        pytest.param("[[a]]\n[a.b]\nc = 1\n[[a]]\n[a.b]\nc = 2", id="table-in-a-row"),
        pytest.param(
            "d = 2026-05-16 06:30:00\nt = 06:30:00\n[ a . b ]\nc = 1", id="dates-and-spaces"
        ),
        pytest.param("a = 1\r\nb = 'é'\r\n\tc = 2", id="line-ends-and-tabs"),
    ],
)
def test_every_key_of_an_awkward_file_is_found(text):
    places = find_positions(text)
    assert {path for path, _ in every_path(tomllib.loads(text))} == set(places)


KEYS = st.sampled_from(["a", "b-c", "d_1", '"e f"', "'g.h'", '"i\\"j"'])
TEXTS = st.sampled_from(
    ['"x"', "'y # [z]'", '"""m\nn = [1]\n"""', "'''o\n[p]'''", '"q\\\\"', '"r\\"]"', '""', "''"]
)
SCALARS = st.one_of(
    TEXTS,
    st.integers(-99, 99).map(str),
    st.sampled_from(["true", "1.5e3", "06:30:00", "2026-05-16", "2026-05-16 06:30:00", "-inf"]),
)
INDENTS, EQUALS = st.sampled_from(["", "  ", "\t"]), st.sampled_from(["=", " = "])
BREAKS = st.sampled_from(["", " ", "\n", " # no ] , }\n  "])


@st.composite
def arrays(draw, inner):
    items = draw(st.lists(inner, max_size=3))
    return (
        "["
        + "".join(f"{draw(BREAKS)}{item}{draw(BREAKS)}," for item in items)
        + draw(BREAKS)
        + "]"
    )


@st.composite
def inline_tables(draw, inner):
    keys = draw(st.lists(KEYS, unique=True, max_size=3))
    return "{ " + ", ".join(f"{key} = {draw(inner)}" for key in keys) + " }"


VALUES = st.recursive(SCALARS, lambda inner: arrays(inner) | inline_tables(inner), max_leaves=5)


@st.composite
def documents(draw):
    """A TOML text of tables, rows and comments, with what stands behind each key."""
    lines, written = [], {}
    seen, rows = set(), {}
    for number in range(draw(st.integers(0, 4))):
        name = f"t{draw(st.integers(0, 2))}"
        as_row = draw(st.booleans())
        if name in seen and (name not in rows or not as_row):
            continue
        seen.add(name)
        path = (name,)
        if as_row:
            rows[name] = rows.get(name, -1) + 1
            path = (name, rows[name])
        lines.append(f"[[{name}]]" if as_row else f" [ {name} ] # table {number}")
        for key in draw(st.lists(KEYS, unique=True, max_size=4)):
            value = draw(VALUES)
            indent, equals = draw(INDENTS), draw(EQUALS)
            lines.append(f"{indent}{key}{equals}{value}")
            plain = tomllib.loads(f"{key}=1").popitem()[0]
            written[*path, plain] = (key, value)
        lines.append(draw(st.sampled_from(["", '# = [ \' """'])))
    return "\n".join(lines), written


@given(documents())
@settings(max_examples=150, deadline=None)
def test_places_point_at_the_very_letters_of_key_and_value(document):
    text, written = document
    places = find_positions(text)
    assert {path for path, _ in every_path(tomllib.loads(text))} == set(places)
    for path, (key, value) in written.items():
        assert text.startswith(key, offset(text, places[path].key))
        assert text.startswith(value, offset(text, places[path].value))


def test_a_long_array_is_walked_once():
    rows = 2000
    text = "a = [\n" + "".join(f"  {number},\n" for number in range(rows)) + "]\n"
    assert find_positions(text)["a", rows - 1].value == Position(rows + 1, 3)


@pytest.mark.parametrize(
    ("path", "spelt"),
    [
        ((), ""),
        (("wind", "speed"), "wind.speed"),
        (("leg", 1, "for"), "leg[2].for"),
        (("stream", "event", 0), "stream.event[1]"),
    ],
)
def test_paths_are_spelt_counting_from_one(path, spelt):
    assert format_path(path) == spelt
    if spelt:
        assert parse_path(spelt) == path


@pytest.mark.parametrize(
    ("spelt", "message"),
    [
        ("", "not the way"),
        ("a..b", "not the way"),
        ("leg[x]", "not the way"),
        ("leg[0]", "from 1"),
    ],
)
def test_a_path_that_leads_nowhere_is_refused(spelt, message):
    with pytest.raises(ValueError, match=message):
        parse_path(spelt)
