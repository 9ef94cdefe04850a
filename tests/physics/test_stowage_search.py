"""
The search of one floor, against two other ways of settling the same question.

One tries every whole-number place on a grid of cells; the other every choice, for each pair, of
who lies left of, right of, below or above whom, and adds the edges up, which needs no grid and
no normal patterns. Hand cases are worked beside each.
"""

from functools import cache
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.stowage_search import largest_sum, pack, sums_of_edges

MANY = 100_000


def turned(*edges):
    """Both ways round, once when they are the same."""
    return tuple(dict.fromkeys([edges, edges[::-1]]))


def fits(length, width, *kinds, most_states=MANY):
    return pack(length, width, tuple(kinds), most_states).state


def fits_on_cells(length, width, kinds):
    """Try every whole-number place, kind by kind, later ones of a kind further on."""
    places = []
    for count, feet in kinds:
        of_kind = []
        for along, across in feet:
            row = (1 << along) - 1
            block = sum(row << (length * y) for y in range(across))
            of_kind += [
                block << (x + length * y)
                for x in range(length - along + 1)
                for y in range(width - across + 1)
            ]
        places += [sorted(set(of_kind), key=lambda mask: mask & -mask)] * count
    owner = [number for number, (count, _) in enumerate(kinds) for _ in range(count)]

    @cache
    def rest(piece, taken, start):
        if piece == len(places):
            return True
        same = piece + 1 < len(places) and owner[piece + 1] == owner[piece]
        return any(
            rest(piece + 1, taken | mask, number + 1 if same else 0)
            for number, mask in enumerate(places[piece])
            if number >= start and not mask & taken
        )

    return rest(0, 0, 0)


def fits_by_pairs(length, width, pieces):
    """Try every way round and every order of each pair; edges end to end must fit."""
    numbers = range(len(pieces))
    pairs = list(combinations(numbers, 2))

    def reach(sizes, arcs):
        starts = [0.0] * len(sizes)
        for _ in numbers:
            for before, after in arcs:
                starts[after] = max(starts[after], starts[before] + sizes[before])
        settled = all(starts[a] >= starts[b] + sizes[b] for b, a in arcs)
        return max(s + size for s, size in zip(starts, sizes, strict=True)), settled

    for ways in product(*pieces):
        for sides in product(range(4), repeat=len(pairs)):
            orders = list(zip(pairs, sides, strict=True))
            beside = [pair[:: 1 if side == 0 else -1] for pair, side in orders if side < 2]
            above = [pair[:: 1 if side == 2 else -1] for pair, side in orders if side > 1]
            along, settled = reach([way[0] for way in ways], beside)
            if not settled or along > length:
                continue
            across, settled = reach([way[1] for way in ways], above)
            if settled and across <= width:
                return True
    return False


EDGE = st.integers(1, 4)
KIND = st.tuples(st.integers(1, 3), st.builds(turned, EDGE, EDGE))


@given(st.integers(2, 7), st.integers(2, 6), st.lists(KIND, min_size=1, max_size=3))
@settings(max_examples=300, deadline=None)
def test_the_search_agrees_with_trying_every_cell(length, width, kinds):
    packing = pack(length, width, tuple(kinds), MANY)
    assert packing.state == ("found" if fits_on_cells(length, width, kinds) else "none")


@given(
    st.integers(10, 60),
    st.integers(10, 60),
    st.lists(st.builds(turned, st.integers(5, 40), st.integers(5, 40)), min_size=1, max_size=3),
)
@settings(max_examples=150, deadline=None)
def test_the_search_agrees_with_trying_every_order_of_every_pair(length, width, pieces):
    kinds = tuple((1, feet) for feet in pieces)
    expected = fits_by_pairs(length, width, pieces)
    assert pack(length, width, kinds, MANY).state == ("found" if expected else "none")


@given(
    st.integers(2, 30),
    st.integers(2, 30),
    st.lists(
        st.tuples(st.integers(1, 4), st.builds(turned, st.integers(1, 9), st.integers(1, 9))),
        min_size=1,
        max_size=3,
    ),
)
@settings(max_examples=200, deadline=None)
def test_what_is_found_is_an_arrangement(length, width, kinds):
    packing = pack(length, width, tuple(kinds), MANY)
    if packing.state != "found":
        assert packing.spots == ()
        return
    counted = [sum(spot.kind == kind for spot in packing.spots) for kind in range(len(kinds))]
    assert counted == [count for count, _ in kinds]
    taken = []
    for spot in packing.spots:
        along, across = kinds[spot.kind][1][spot.foot]
        assert 0 <= spot.along <= length - along
        assert 0 <= spot.across <= width - across
        taken.append((spot.along, spot.across, spot.along + along, spot.across + across))
    for one, two in combinations(taken, 2):
        apart = one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]
        assert apart


def test_a_pinwheel_of_four_is_found_where_rows_hold_two():
    # 3 x 2 on 5 x 5: rows hold 1 x 2, turned 2 x 1; around a hole of 1 x 1 there are four.
    assert fits(5, 5, (4, turned(3, 2))) == "found"
    assert fits(5, 5, (5, turned(3, 2))) == "none"
    assert fits(5, 4, (4, turned(3, 2))) == "none"


def test_the_hole_of_a_pinwheel_takes_the_fifth():
    assert fits(5, 5, (4, turned(3, 2)), (1, ((1, 1),))) == "found"
    assert fits(5, 5, (4, turned(3, 2)), (2, ((1, 1),))) == "none"


def test_a_mixed_arrangement_beats_rows():
    # 3 x 2 on 5 x 6: rows hold 1 x 3 or 2 x 2; three one way beside two the other fill it.
    assert fits(5, 6, (5, turned(3, 2))) == "found"
    assert fits(5, 6, (6, turned(3, 2))) == "none"


def test_area_alone_does_not_decide():
    # Nine 1 x 4 have the area of 6 x 6 and do not tile it (a colouring of diagonals by four
    # shows why; de Bruijn 1969, from memory). Eight go in.
    assert fits(6, 6, (8, turned(1, 4))) == "found"
    assert fits(6, 6, (9, turned(1, 4))) == "none"


def test_a_search_cut_short_proves_nothing():
    assert fits(6, 6, (9, turned(1, 4)), most_states=5) == "undecided"


@given(st.integers(2, 9), st.integers(2, 9), st.lists(KIND, min_size=1, max_size=2))
@settings(max_examples=100, deadline=None)
def test_cutting_the_search_short_never_turns_the_answer(length, width, kinds):
    whole = fits(length, width, *kinds)
    assert fits(length, width, *kinds, most_states=2) in {whole, "undecided"}


def test_edges_end_to_end_make_these_lengths():
    kinds = ((2, turned(5, 3)),)
    assert sums_of_edges(kinds, 0, 100) == (0, 3, 5, 6, 8, 10)
    assert sums_of_edges(kinds, 0, 7) == (0, 3, 5, 6)
    assert largest_sum(kinds, 0, 7) == 6


def test_too_many_lengths_are_left_alone():
    kinds = ((40, ((1_000_003, 1), (1_010_101, 1), (1_100_007, 1), (1_234_567, 1))),)
    assert sums_of_edges(kinds, 0, 10**9) is None
    assert largest_sum(kinds, 0, 12_345_678) == 12_345_678 or sums_of_edges(
        kinds, 0, 12_345_678
    )


@pytest.mark.parametrize("length", [0, -5], ids=["no-room", "less-than-none"])
def test_a_room_smaller_than_its_gaps_holds_nothing(length):
    assert fits(length, 10, (1, ((1, 1),))) == "none"
