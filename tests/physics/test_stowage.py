"""
Battery cases in lockers: gaps, lids, openings, several lockers, and what is missing.

Case sizes are those of the trade's groups as public tables give them: 24 is 10.25 x 6.8125 x
8.875 in, 31 is 13 x 6.8125 x 9.4375 in. Clearances are common practice, no source.
"""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energysim.physics.stowage import stow
from energysim.physics.stowage_pose import Case, Gaps, Room, passage

INCH_M = 0.0254


def case(length, width, height, *, lie=False, tip=None):
    return Case(
        length_m=length * INCH_M,
        width_m=width * INCH_M,
        height_m=height * INCH_M,
        may_lie=lie,
        may_tip=lie if tip is None else tip,
    )


def room(length, width, height, *, hatch=None, side=False, **gaps):
    inches = {"wall": 0.5, "case": 0.5, "terminal": 2.0, "box": 0.0, "hatch": 0.25} | gaps
    return Room(
        length_m=length * INCH_M,
        width_m=width * INCH_M,
        height_m=height * INCH_M,
        hatch_length_m=hatch and hatch[0] * INCH_M,
        hatch_width_m=hatch and hatch[1] * INCH_M,
        hatch_in_side=side,
        gaps=Gaps(**{f"{name}_m": size * INCH_M for name, size in inches.items()}),
    )


def one(kind, count, *rooms, **options):
    return stow([kind], counts=[count], rooms=rooms, **options)


def remedies(stowage):
    """Length, width and height missing, in inches, of each remedy."""
    return [
        tuple(round(size / INCH_M, 4) for size in (each.length_m, each.width_m, each.height_m))
        for each in stowage.remedies
    ]


GROUP_24 = case(10.25, 6.8125, 8.875)
GROUP_31 = case(13.0, 6.8125, 9.4375)
CUSTOMERS = room(24, 15, 11.1)


def test_a_24_stands_in_the_customers_locker_and_a_31_does_not():
    # 8.875 + 2 = 10.875 in under 11.1 in; 9.4375 + 2 = 11.4375 in, 0.3375 in too much.
    assert one(GROUP_24, 1, CUSTOMERS).verdict == "fits"
    tall = one(GROUP_31, 1, CUSTOMERS)
    assert (tall.verdict, tall.most) == ("does not fit", 0)
    assert remedies(tall) == [(0, 0, 0.3375)]


@pytest.mark.parametrize("over", [0.5, 1.0, 2.0, 3.0])
def test_a_31_does_not_stand_under_a_lid_just_too_low_while_a_24_does(over):
    low = room(24, 15, 9.4375 + over - 1 / 64, terminal=over)
    assert one(GROUP_31, 1, low).verdict == "does not fit"
    assert one(GROUP_24, 1, low).verdict == "fits"
    assert one(GROUP_31, 1, room(24, 15, 9.4375 + over, terminal=over)).verdict == "fits"


def test_a_case_that_fits_to_a_hair_fits_whatever_the_unit():
    # 0.1 + 0.2 is more than 0.3 in binary floats.
    hair = Case(length_m=0.1, width_m=0.2, height_m=0.1, may_lie=False, may_tip=False)
    gaps = Gaps(wall_m=0.0, case_m=0.0, terminal_m=0.2, box_m=0.0, hatch_m=0.0)
    tight = replace(room(1, 1, 1), length_m=0.3, width_m=0.2, height_m=0.3, gaps=gaps)
    assert stow([hair], counts=[3], rooms=[tight]).verdict == "fits"


def test_three_24s_stand_crosswise_and_a_fourth_needs_an_eighth_of_an_inch():
    # Across: 3 x 6.8125 + 4 x 0.5 = 22.4375 of 24. Two rows of two: 2 x 10.25 + 1.5 = 22 of 24
    # and 2 x 6.8125 + 1.5 = 15.125 of 15. Four abreast: 4 x 6.8125 + 2.5 = 29.75 of 24.
    assert one(GROUP_24, 3, CUSTOMERS).verdict == "fits"
    four = one(GROUP_24, 4, CUSTOMERS)
    assert (four.verdict, four.most, four.most_proved) == ("does not fit", 3, True)
    assert remedies(four) == [(5.75, 0, 0), (0, 0.125, 0)]


def test_a_locker_too_low_and_too_small_is_raised_first():
    # With the lid 0.3375 in higher, four 31s need 4 x 6.8125 + 2.5 = 29.75 in of length, or
    # 13 + 6.8125 + 1.5 = 21.3125 in of width: three crosswise and one along.
    assert remedies(one(GROUP_31, 4, CUSTOMERS)) == [
        (5.75, 0, 0.3375),
        (0, 6.3125, 0.3375),
    ]


def test_gaps_are_kept_to_walls_and_between_cases():
    # 3 x 13 + 2 x 0.5 + 2 x 0.75 = 41.5 in.
    assert one(GROUP_31, 3, room(41.5, 8.3125, 12, wall=0.75)).verdict == "fits"
    assert one(GROUP_31, 3, room(41.49, 8.3125, 12, wall=0.75)).verdict == "does not fit"
    assert one(GROUP_31, 3, room(41.5, 8.31, 12, wall=0.75)).verdict == "does not fit"


def test_a_box_takes_its_walls_and_its_floor():
    # 13 + 2 x 0.75 + 2 x 0.5 = 15.5 in by 9.3125 in, and 9.4375 + 0.75 + 2 = 12.1875 in.
    boxed = room(15.5, 9.3125, 12.1875, box=0.75)
    assert one(GROUP_31, 1, boxed).verdict == "fits"
    for edge in ("length_m", "width_m", "height_m"):
        less = replace(boxed, **{edge: getattr(boxed, edge) - 1e-4})
        assert one(GROUP_31, 1, less).verdict == "does not fit"


def test_only_a_case_that_may_lie_lies():
    # On its side: 6.8125 + 0.5 = 7.3125 in high, 13 in by 9.4375 + 1.5 of cables, + gaps.
    low = room(14, 11.9375, 7.3125)
    lying = case(13.0, 6.8125, 9.4375, lie=True)
    assert one(GROUP_31, 1, low).verdict == "does not fit"
    found = one(lying, 1, low)
    assert found.verdict == "fits"
    assert found.placed[0].pose == "on its side"
    assert one(lying, 1, room(14, 11.9, 7.3125)).verdict == "does not fit"
    assert one(lying, 1, room(14, 11.9375, 7.3)).verdict == "does not fit"


def test_a_case_on_its_end_needs_its_length_in_height():
    # 13 + 0.5 in high; 6.8125 in by 9.4375 + 1.5 in, + gaps.
    tall = room(7.8125, 11.9375, 13.5)
    lying = case(13.0, 6.8125, 9.4375, lie=True)
    assert one(lying, 1, tall).placed[0].pose == "on its end"
    assert one(GROUP_31, 1, tall).verdict == "does not fit"


def test_a_mixed_arrangement_is_found_where_rows_find_none():
    # Rows in 19.5 x 20.5 in, gaps 0: 1 x 3 or 2 x 1 of 13 x 6.5; a pinwheel holds four.
    slim = case(13.0, 6.5, 9.0)
    bare = {"wall": 0.0, "case": 0.0}
    assert one(slim, 4, room(19.5, 19.5, 12, **bare)).verdict == "fits"
    assert one(slim, 5, room(19.5, 19.5, 12, **bare)).verdict == "does not fit"


def test_lockers_share_the_cases():
    # One block aft, two in the console.
    console, aft = room(15.5, 15.5, 12), room(15, 8.5, 12)
    found = one(GROUP_31, 3, console, aft)
    assert found.verdict == "fits"
    assert [spot.room for spot in found.placed] == [0, 0, 1]
    assert one(GROUP_31, 4, console, aft).most == 3


def test_a_kind_stays_where_it_may_go():
    console, aft = room(30, 30, 12), room(15, 8.5, 12)
    aft_only = stow(
        [GROUP_24, GROUP_31], counts=[1, 1], rooms=[console, aft], may_go=[[False, True]] * 2
    )
    assert (aft_only.verdict, aft_only.most) == ("does not fit", 1)
    split = stow(
        [GROUP_24, GROUP_31],
        counts=[1, 1],
        rooms=[console, aft],
        may_go=[[False, True], [True, False]],
    )
    assert {(spot.kind, spot.room) for spot in split.placed} == {(0, 1), (1, 0)}


@pytest.mark.parametrize(
    ("hatch", "side", "tip", "how"),
    [
        ((13.5, 7.3125), False, False, "upright"),
        ((7.3125, 13.5), False, False, "upright"),
        ((13.5, 7.3), False, True, "not at all"),
        ((9.9375, 7.3125), False, False, "not at all"),
        ((9.9375, 7.3125), False, True, "tilted"),
        ((7.3125, 9.9375), True, False, "upright"),
        ((9.9375, 7.3125), True, False, "not at all"),
        ((9.9375, 7.3125), True, True, "tilted"),
        (None, False, False, "upright"),
    ],
    ids=[
        "flat-through-the-lid",
        "turned-through-the-lid",
        "narrower-than-the-narrowest-edge",
        "end-first-but-may-not-tip",
        "end-first",
        "through-the-side-standing",
        "side-too-low",
        "through-a-low-side-tilted",
        "whole-top",
    ],
)
def test_a_31_goes_through_openings_so(hatch, side, tip, how):
    # With 0.25 in a side a 31 needs 13.5, 7.3125 and 9.9375 in for its three edges.
    way = passage(
        case(13.0, 6.8125, 9.4375, tip=tip), room=room(30, 30, 20, hatch=hatch, side=side)
    )
    assert way.how == how


def test_a_small_opening_says_what_it_lacks():
    small = one(GROUP_31, 2, room(30, 30, 12, hatch=(13.0, 7.0)))
    assert (small.verdict, small.most, small.fits_but_for_openings) == (
        "does not fit",
        0,
        True,
    )
    way = small.passages[0][0]
    assert way.how == "not at all"
    assert way.length_short_m / INCH_M == pytest.approx(0.5)
    assert way.width_short_m / INCH_M == pytest.approx(0.3125)
    assert small.remedies == ()


def test_a_small_opening_and_a_small_locker_are_both_told():
    both = one(GROUP_31, 4, room(24, 15, 12, hatch=(12.0, 7.0)))
    assert not both.fits_but_for_openings
    assert both.remedies_past_openings
    assert (5.75, 0, 0) in remedies(both)


def test_a_search_cut_short_is_not_called_a_proof():
    # Nine 1 x 4 have the area of 6 x 6 and do not tile it.
    bare = {"wall": 0.0, "case": 0.0, "terminal": 0.0}
    plank = case(4.0, 1.0, 1.0)
    assert one(plank, 9, room(6, 6, 2, **bare)).verdict == "does not fit"
    short = one(plank, 9, room(6, 6, 2, **bare), most_states=5)
    assert short.verdict == "not decided"
    assert not short.most_proved
    assert short.most >= 1


SIZE = st.integers(2, 9)
ANY_CASE = st.builds(
    lambda length, width, height, lie: case(length, width, height, lie=lie),
    SIZE,
    SIZE,
    SIZE,
    st.booleans(),
)
ANY_ROOM = st.builds(
    lambda length, width, height, wall, gap: room(length, width, height, wall=wall, case=gap),
    st.integers(4, 22),
    st.integers(4, 22),
    st.integers(5, 14),
    st.integers(0, 2),
    st.integers(0, 2),
)


def stands_by_hand(kind, count, locker):
    """Put upright cases on every whole inch and measure the gaps: no inflated sizes."""
    sizes = [round(edge / INCH_M) for edge in (kind.length_m, kind.width_m, kind.height_m)]
    wall, gap = (round(edge / INCH_M) for edge in (locker.gaps.wall_m, locker.gaps.case_m))
    length, width, height = (
        round(edge / INCH_M) for edge in (locker.length_m, locker.width_m, locker.height_m)
    )
    if sizes[2] + 2 > height:
        return False
    spots = sorted(
        {
            (x, y, x + a, y + b)
            for a, b in (sizes[:2], sizes[1::-1])
            for x in range(wall, length - wall - a + 1)
            for y in range(wall, width - wall - b + 1)
        }
    )

    def apart(one, two):
        return (
            one[2] + gap <= two[0]
            or two[2] + gap <= one[0]
            or one[3] + gap <= two[1]
            or two[3] + gap <= one[1]
        )

    def rest(left, free):
        if left == 0:
            return True
        return any(
            rest(left - 1, [two for two in free[number + 1 :] if apart(spot, two)])
            for number, spot in enumerate(free)
        )

    return rest(count, spots)


@given(
    st.integers(2, 6),
    st.integers(2, 6),
    st.integers(2, 12),
    st.integers(5, 11),
    st.integers(0, 2),
    st.integers(0, 2),
    st.integers(1, 4),
)
@settings(max_examples=150, deadline=None)
def test_the_answer_is_that_of_putting_cases_on_every_inch(
    a, b, length, width, wall, gap, count
):
    kind, locker = case(a, b, 3), room(length, width, 6, wall=wall, case=gap)
    expected = "fits" if stands_by_hand(kind, count, locker) else "does not fit"
    assert one(kind, count, locker).verdict == expected


@given(ANY_CASE, st.integers(1, 5), ANY_ROOM, st.integers(0, 6), st.integers(0, 6))
@settings(max_examples=150, deadline=None)
def test_a_larger_locker_never_loses_a_fit(kind, count, locker, longer, wider):
    assume(one(kind, count, locker).verdict == "fits")
    larger = replace(
        locker,
        length_m=locker.length_m + longer * INCH_M,
        width_m=locker.width_m + wider * INCH_M,
        height_m=locker.height_m + longer * INCH_M,
    )
    assert one(kind, count, larger).verdict == "fits"


@given(ANY_CASE, st.integers(1, 5), ANY_ROOM)
@settings(max_examples=100, deadline=None)
def test_a_locker_turned_round_answers_the_same(kind, count, locker):
    about = replace(locker, length_m=locker.width_m, width_m=locker.length_m)
    assert one(kind, count, locker).verdict == one(kind, count, about).verdict


@given(ANY_CASE, st.integers(1, 5), ANY_ROOM)
@settings(max_examples=150, deadline=None)
def test_what_is_missing_is_just_enough(kind, count, locker):
    found = one(kind, count, locker)
    for remedy in found.remedies:
        edges = ("length_m", "width_m", "height_m")
        grown = replace(
            locker, **{edge: getattr(locker, edge) + getattr(remedy, edge) for edge in edges}
        )
        assert one(kind, count, grown).verdict == "fits"
        for edge in edges:
            if getattr(remedy, edge):
                less = replace(grown, **{edge: getattr(grown, edge) - 1e-6})
                assert one(kind, count, less).verdict == "does not fit"


@given(ANY_CASE, st.integers(1, 5), ANY_ROOM)
@settings(max_examples=100, deadline=None)
def test_where_one_edge_is_missing_no_remedy_is_passed_over(kind, count, locker):
    # An edge made as long as all cases in a row shows whether that edge can help at all.
    found = one(kind, count, locker)
    assume(found.verdict == "does not fit")
    alone = {
        edge
        for each in found.remedies
        for edge in ("length_m", "width_m", "height_m")
        if getattr(each, edge)
        and not any(
            getattr(each, other)
            for other in ("length_m", "width_m", "height_m")
            if other != edge
        )
    }
    for edge in ("length_m", "width_m", "height_m"):
        endless = replace(locker, **{edge: 300 * INCH_M})
        assert (one(kind, count, endless).verdict == "fits") == (edge in alone)


@given(st.lists(ANY_CASE, min_size=2, max_size=2), st.lists(ANY_ROOM, min_size=2, max_size=2))
@settings(max_examples=60, deadline=None)
def test_two_lockers_answer_as_trying_every_share(kinds, rooms):
    counts = (2, 2)
    expected = any(
        all(
            sum(part) == 0 or stow(kinds, counts=part, rooms=[locker]).verdict == "fits"
            for part, locker in zip((first, second), rooms, strict=True)
        )
        for first in product(range(3), repeat=2)
        for second in [tuple(c - f for c, f in zip(counts, first, strict=True))]
    )
    assert (stow(kinds, counts=counts, rooms=rooms).verdict == "fits") == expected


@given(ANY_CASE, st.integers(1, 6), ANY_ROOM)
@settings(max_examples=60, deadline=None)
def test_as_many_go_in_as_are_said_to(kind, count, locker):
    found = one(kind, count, locker)
    assert found.most_proved
    if found.most:
        assert one(kind, found.most, locker).verdict == "fits"
    if found.most < count:
        assert one(kind, found.most + 1, locker).verdict == "does not fit"


@given(ANY_CASE, st.integers(1, 6), ANY_ROOM)
@settings(max_examples=60, deadline=None)
def test_places_keep_their_gaps(kind, count, locker):
    found = one(kind, count, locker)
    wall, gap = locker.gaps.wall_m - 1e-9, locker.gaps.case_m - 1e-9
    ends = np.array(
        [
            (
                spot.along_m,
                spot.across_m,
                spot.along_m + spot.size_along_m,
                spot.across_m + spot.size_across_m,
            )
            for spot in found.placed
        ]
    ).reshape(-1, 4)
    assert len(ends) in {0, count}
    assert np.all(ends[:, :2] >= wall)
    assert np.all(ends[:, 2] <= locker.length_m - wall)
    assert np.all(ends[:, 3] <= locker.width_m - wall)
    for number, first in enumerate(ends):
        for second in ends[number + 1 :]:
            between = max(*(first[:2] - second[2:]), *(second[:2] - first[2:]))
            assert between >= gap


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"counts": [0]}, "of at least 0, together 1 to 48"),
        ({"counts": [2.5]}, "must be a whole number"),
        ({"may_go": [[True, False]]}, "may_go must be 1 rows, by kind, of 1, by locker"),
        ({"counts": [49]}, "together 1 to 48"),
        ({"counts": [1, 1]}, "one to each of 1 to 4 kinds"),
        ({"rooms": []}, "rooms is empty"),
        ({"cases": [case(0, 5, 5)]}, r"cases\[0\].length_m = 0; it must be finite and above 0"),
        ({"rooms": [room(9, 9, -1)]}, r"rooms\[0\].height_m = -0.0254"),
        ({"rooms": [room(9, 9, 9, wall=-1)]}, r"rooms\[0\].gaps.wall_m = -0.0254"),
        ({"rooms": [replace(room(9, 9, 9), hatch_width_m=0.1)]}, "one edge of an opening"),
    ],
    ids=[
        "none",
        "half-a-case",
        "lockers",
        "many",
        "unpaired",
        "no-room",
        "flat",
        "no-height",
        "gap",
        "half-a-hatch",
    ],
)
def test_what_is_no_question_is_refused(change, message):
    asked = {"cases": [GROUP_31], "counts": [1], "rooms": [CUSTOMERS]} | change
    cases = asked.pop("cases")
    with pytest.raises(ValueError, match=message):
        stow(cases, **asked)


def test_two_hundred_options_take_little_searching():
    # Time is not measured here; a state takes some tens of microseconds.
    searched, undecided = 0, 0
    lockers = [room(26, 17, 12), room(15, 9, 12)]
    edges = [
        (7.75, 5.1875, 7.3125),
        (9.4375, 5.5, 8.9375),
        (10.25, 6.8125, 8.875),
        (12.0625, 6.8125, 8.875),
        (13.0, 6.8125, 9.4375),
        (13.25, 6.875, 9.5),
    ]
    options = list(product(edges, (False, True), range(1, 9), (1, 2)))
    assert len(options) == 192
    for sizes, lie, count, rooms in options:
        found = one(case(*sizes, lie=lie), count, *lockers[:rooms])
        searched += found.searched
        undecided += found.verdict == "not decided" or not found.remedies_proved
    assert undecided == 0
    assert searched < 40_000
