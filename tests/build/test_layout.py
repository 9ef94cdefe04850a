"""Blocks of a bank: which are counted together, which stand alone, what they are called."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.build.layout import BlockState, lay_out
from energysim.errors import ScenarioError
from energysim.scenario.bank import BlockRow, Tapped

USUAL = BlockState(
    capacity_fraction=0.9,
    temperature_degc=12.0,
    resistance_ohm=None,
    start_soc=1.0,
    tapped_w=0.0,
)


def row(string, number, **changes):
    return BlockRow.model_validate({"string": string, "number": number, **changes})


def tap(string, number, load="20 W", name="pump"):
    return Tapped.model_validate(
        {"string": string, "number": number, "load": load, "name": name}
    )


def test_alike_blocks_are_one_kind_however_many_there_are():
    layout = lay_out(USUAL, series=3, parallel=4)
    assert layout.states == ((USUAL,),)
    assert (layout.string_count, layout.block_count) == ((4,), ((3,),))
    assert layout.names == (("every string every block",),)
    assert layout.is_plain
    assert not lay_out(USUAL, series=1, parallel=1, tapped=[tap(1, 1)]).is_plain


def test_a_weak_block_stands_beside_the_others_of_its_string():
    layout = lay_out(
        USUAL, series=3, parallel=1, rows=[row(1, 2, capacity_fraction=0.8, start_soc=0.5)]
    )
    assert layout.block_count == ((2, 1),)
    assert layout.names == (("blocks 1, 3", "block 2"),)
    assert layout.states[0][0] == USUAL
    assert layout.states[0][1] == USUAL._replace(capacity_fraction=0.8, start_soc=0.5)


def test_strings_made_up_alike_are_counted_and_short_rows_filled_up():
    layout = lay_out(
        USUAL, series=2, parallel=3, tapped=[tap(2, 1), tap(2, 1, "5 W", "lights")]
    )
    assert layout.string_count == (2, 1)
    assert layout.block_count == ((2, 0), (1, 1))
    assert layout.names == (
        ("strings 1, 3 every block", ""),
        ("string 2 block 1 (pump, lights)", "string 2 block 2"),
    )
    assert layout.states[1][0].tapped_w == 25.0
    assert layout.places[0][0] == ((1, 1), (1, 2), (3, 1), (3, 2))


def test_a_row_that_says_what_holds_anyway_tells_no_block_apart():
    layout = lay_out(USUAL, series=2, parallel=1, rows=[row(1, 1, capacity_fraction=0.9)])
    assert layout.block_count == ((2,),)


def test_the_same_tap_in_another_place_of_the_string_is_another_string():
    # A name has to point at one place.
    layout = lay_out(USUAL, series=2, parallel=2, tapped=[tap(1, 1), tap(2, 2)])
    assert layout.string_count == (1, 1)
    assert layout.names[1] == ("string 2 block 1", "string 2 block 2 (pump)")


@pytest.mark.parametrize(
    ("rows", "tapped", "path", "reason"),
    [
        ([row(1, 3, start_soc=0.5)], [], "bank.block[1].number", "2 blocks to a string"),
        ([row(2, 1, start_soc=0.5)], [], "bank.block[1].string", "has 1 string"),
        ([], [tap(1, 1), tap(1, 9)], "bank.tapped[2].number", "2 blocks to a string"),
    ],
    ids=["block", "string", "tap"],
)
def test_a_block_the_bank_does_not_have_is_refused(rows, tapped, path, reason):
    with pytest.raises(ScenarioError, match=reason) as caught:
        lay_out(USUAL, series=2, parallel=1, rows=rows, tapped=tapped)
    assert [problem.path for problem in caught.value.problems] == [path]


places = st.tuples(st.integers(1, 4), st.integers(1, 5))


@settings(max_examples=60, deadline=None)
@given(
    weak=st.dictionaries(places, st.sampled_from([0.6, 0.9]), max_size=5),
    taps=st.lists(places, max_size=4),
)
def test_every_block_stands_in_exactly_one_place(weak, taps):
    rows = [row(*place, capacity_fraction=share) for place, share in weak.items()]
    layout = lay_out(
        USUAL, series=5, parallel=4, rows=rows, tapped=[tap(*place) for place in taps]
    )
    seen = {}
    for string, kinds in enumerate(layout.places):
        for block, where in enumerate(kinds):
            assert len(where) == layout.string_count[string] * layout.block_count[string][block]
            assert bool(layout.names[string][block]) == bool(where)
            seen.update(dict.fromkeys(where, layout.states[string][block]))
    assert len(seen) == 20
    assert sum(state.tapped_w for state in seen.values()) == 20.0 * len(taps)
    for place, state in seen.items():
        assert state.capacity_fraction == weak.get(place, 0.9)
