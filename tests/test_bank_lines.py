"""The bank's day as it is read: what the lines say is what the records hold."""

from dataclasses import replace

import pytest

from energysim.report.bank import block_lines, house_lines, law_lines
from energysim.runner import run_day
from energysim.scenario.overlay import overlay


@pytest.fixture(scope="module")
def ran(plain_day, load_raw):
    def run(**changes):
        raw = overlay(plain_day(), {key.replace("__", "."): v for key, v in changes.items()})
        return run_day(load_raw(raw), with_changes=False)

    return run


def test_both_laws_stand_in_one_line_and_the_lower_is_named(ran):
    bank = ran(wind__speed="30 kn", wind__gust="34 kn").bank
    told, other = (law.end_soc for law in bank.laws)
    line = law_lines(bank)[0]
    assert line.startswith(
        f"By the two wells {told:.0%} at the end, by Peukert's law {other:.0%}"
    )
    assert line.endswith("leaves less.") == bool(bank.lower_law)
    alike = law_lines(replace(bank, lower_law=""))[0]
    assert "leaves less" not in alike


def test_a_law_by_which_the_bank_gives_out_says_when(ran):
    leg = [{"do": "hold", "start": "06:00", "for": "9 h"}]
    bank = ran(wind__speed="45 kn", wind__gust="45 kn", leg=leg).bank
    assert f"it gives out at {bank.laws[0].end_at:%H:%M}" in law_lines(bank)[0]


def test_the_pace_of_the_wells_is_told_only_where_it_is_open(ran):
    assert len(law_lines(ran().bank)) == 2
    assert "0.2 to 2 per hour" in law_lines(ran().bank)[1]
    assert len(law_lines(ran(bank__law="peukert").bank)) == 1


def test_alike_blocks_need_no_words_and_unlike_ones_get_a_line_each(ran):
    assert block_lines(ran().bank) == []
    row = {"string": 1, "number": 2, "capacity_fraction": 0.8}
    lines = block_lines(ran(bank__block=[row]).bank)
    assert [line.split(":")[0] for line in lines[:2]] == ["Block 1", "Block 2"]
    assert lines[2].startswith("The weakest is block 2;")


def test_the_house_bank_says_whether_it_lasts(ran):
    lasts = ran(house_bank={"battery": "24-agm", "load": "10 W"}).house
    assert house_lines(lasts)[0].endswith(f"ends at {lasts.end_soc:.0%}.")
    fails = ran(house_bank={"battery": "24-agm", "load": "350 W"}).house
    assert f"gives out at {fails.end_at:%H:%M}" in house_lines(fails)[0]
    deep = ran(house_bank={"battery": "24-agm", "load": "120 W"}).house
    assert "below its 50% limit from" in house_lines(deep)[0]
