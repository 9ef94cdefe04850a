"""From [bank] and [house_bank] to the arrays of the loop: figures by hand."""

import numpy as np
import pytest

from energysim.build.bank import build_bank
from energysim.build.block import build_block
from energysim.build.house_bank import build_house_bank
from energysim.build.motor import build_motor
from energysim.catalogue import chemistry
from energysim.errors import ScenarioError
from energysim.scenario.load import validate

LABEL = {"chemistry": "flooded", "capacity": "100 Ah", "temperature": "25 degC"}
HOUSE = {"chemistry": "agm", "capacity": "50 Ah", "temperature": "25 degC", "load": "20 W"}


@pytest.fixture
def built(plain_day):
    """From keys of [bank] (24 V, so two blocks of 12 V) to the built bank."""

    def of(**keys):
        scenario = validate(plain_day() | {"bank": LABEL | keys})
        return build_bank(scenario, build_block(scenario.bank), build_motor(scenario))

    return of


@pytest.fixture
def house(plain_day):
    """From keys of [house_bank] to the house's bank."""

    def of(**keys):
        return build_house_bank(validate(plain_day() | {"house_bank": HOUSE | keys}))

    return of


def test_a_bank_of_alike_blocks_is_one_row_with_counts(built):
    bank = built(parallel=3).bank
    assert bank.string_count.tolist() == [[3.0]]
    assert bank.block_count.tolist() == [[[2.0]]]
    assert bank.capacity_ah.item() == pytest.approx(100.0)
    assert bank.charge_ah.item() == pytest.approx(100.0)
    assert bank.cutoff_voltage_v.item() == pytest.approx(21.0)  # 1.75 V in each of 12 cells
    # 8 mohm for a full block of 100 Ah at 25 degC.
    assert bank.resistance_full_ohm.item() == pytest.approx(0.008)


def test_capacity_today_is_the_label_times_age_times_warmth_and_the_ledgers_knows_no_warmth(
    built,
):
    # 10 degC: 1 / 1.19 of the label by IEEE 485 (from memory).
    part = built(capacity_fraction=0.8, temperature="10 degC", parallel=2)
    assert part.bank.capacity_ah.item() == pytest.approx(100 * 0.8 / 1.19, rel=2e-4)
    assert part.bank.charge_ah.item() == pytest.approx(80.0)
    assert part.ledger_capacity_ah == pytest.approx(160.0)
    # Both wells shrink alike; share and rate stay.
    warm = built()
    assert part.bank.wells_total_ah.item() == pytest.approx(
        warm.bank.wells_total_ah.item() * 0.8 / 1.19, rel=2e-4
    )
    assert part.bank.wells_share.item() == warm.bank.wells_share.item()


def test_a_weak_block_is_a_row_of_its_own(built):
    part = built(
        block=[{"number": 2, "capacity_fraction": 0.9, "temperature": "10 degC"}],
        tapped=[{"load": "24 W", "number": 1}],
    )
    bank = part.bank
    assert bank.block_count[0, :, 0].tolist() == [1.0, 1.0]
    assert part.layout.names == (("block 1 (a tapped load)", "block 2"),)
    assert bank.capacity_ah[0, :, 0] == pytest.approx([100.0, 90.0 / 1.19], rel=2e-4)
    assert bank.charge_ah[0, :, 0] == pytest.approx([100.0, 90.0])
    assert bank.tapped_w[0, :, 0].tolist() == [24.0, 0.0]
    assert bank.start_degc[0, :, 0].tolist() == [25.0, 10.0]
    assert bank.surrounds_degc.item() == 25.0
    assert part.ledger_capacity_ah == pytest.approx(90.0)  # the weaker of the two


def test_age_stiffens_a_block_unless_its_resistance_was_measured(built):
    fall = chemistry("flooded").resistance_rise_per_degc
    assert built(capacity_fraction=0.8).bank.resistance_full_ohm.item() == pytest.approx(0.014)
    part = built(
        capacity_fraction=0.8,
        temperature="15 degC",
        resistance="9 mohm",
        block=[{"number": 1, "resistance": "20 mohm"}],
    )
    cold = np.exp(10.0 * fall)
    assert part.bank.resistance_full_ohm[0, :, 0] == pytest.approx([0.020 * cold, 0.009 * cold])


def test_a_heavy_block_follows_the_water_in_three_hours(built):
    bank = built(block_mass="25 kg").bank
    hours = bank.heat_capacity_j_per_k.item() / bank.heat_loss_w_per_k.item() / 3600.0
    assert hours == pytest.approx(3.0)
    # Eight times the mass has four times the skin.
    big = built(block_mass="200 kg").bank
    assert big.heat_loss_w_per_k.item() == pytest.approx(4.0 * bank.heat_loss_w_per_k.item())


def test_only_lithium_has_a_board_that_opens(built):
    assert built().bank.block_cutoff_v.item() == -np.inf
    lithium = built(chemistry="lfp")
    assert lithium.bank.block_cutoff_v.item() == pytest.approx(10.0)
    assert lithium.bank.cutoff_voltage_v.item() == pytest.approx(20.0)
    assert built(chemistry="lfp", cutoff_voltage="11 V").bank.block_cutoff_v.item() == 11.0


def test_a_lithium_block_takes_nothing_from_a_panel_below_freezing(built):
    assert built(chemistry="lfp", temperature="1 degC").bank.acceptance_of_empty_a.item() > 0.0
    assert (
        built(chemistry="lfp", temperature="-1 degC").bank.acceptance_of_empty_a.item() == 0.0
    )


def test_of_what_goes_in_by_day_lead_acid_keeps_less_than_lithium(built):
    # 1.10 to 1.20 Ah in for each out (common practice) for flooded; one to one for lithium.
    assert 1 / 1.20 <= built().bank.charge_efficiency.item() <= 1 / 1.10
    assert built(chemistry="lfp").bank.charge_efficiency.item() == pytest.approx(0.99)


def test_the_wells_are_given_at_both_ends_of_their_rate_for_the_same_label(built):
    part = built(reserve="174 min", capacity_fraction=0.9)
    for other, rate in ((part.slow_bank, 0.2), (part.fast_bank, 2.0)):
        assert other.wells_rate_per_h.item() == rate
        assert other.capacity_ah.item() == part.bank.capacity_ah.item()
        assert other.wells_total_ah.item() != part.bank.wells_total_ah.item()
    assert built(well_rate="1 per h").slow_bank is None


def test_storage_runs_every_block_down_from_where_it_was(built):
    part = built(
        stored="1 month",
        temperature="20 degC",
        start_soc=0.9,
        block=[{"number": 2, "start_soc": 0.5}],
    )
    assert part.bank.start_soc[0, :, 0] == pytest.approx([0.9 * 0.92, 0.5 * 0.92])
    assert "from 90% to 83%" in " ".join(part.notes)


def test_a_measured_capacity_beside_an_age_is_told(built):
    part = built(capacity_fraction=0.85, age="3 yr")
    assert part.bank.charge_ah.item() == pytest.approx(85.0)
    assert "the measured 85% of the label stands" in " ".join(part.notes)


def test_a_starting_battery_is_refused_with_the_reason_unless_the_user_insists(built):
    with pytest.raises(ScenarioError, match="crank an engine for seconds") as caught:
        built(chemistry="starting")
    assert caught.value.problems[0].path == "bank.chemistry"
    assert "bank.insist = true" in caught.value.problems[0].hint
    assert built(chemistry="starting", insist=True).limit_soc == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("keys", "path", "reason"),
    [
        ({"temperature": "-30 degC"}, "bank.temperature", "outside what is known of flooded"),
        (
            {"block": [{"number": 1, "temperature": "-30 degC"}]},
            "bank.block",
            "outside what is known of flooded",
        ),
        ({"block": [{"number": 3, "start_soc": 0.5}]}, "bank.block[1].number", "has 2 blocks"),
        ({"series": 3}, "bank.series", "makes a bank of 36 V"),
    ],
    ids=["cold-bank", "cold-block", "no-such-block", "voltage"],
)
def test_a_bank_that_cannot_be_is_refused_at_its_place(built, keys, path, reason):
    with pytest.raises(ScenarioError, match=reason) as caught:
        built(**keys)
    assert [problem.path for problem in caught.value.problems] == [path]


def test_the_house_bank_is_a_bank_without_a_motor(house):
    part = house(parallel=2)
    bank = part.bank
    assert bank.house_load_w.item() == 20.0
    assert bank.cable_ohm.item() == 0.0
    assert bank.capacity_ah.item() == pytest.approx(50.0)
    assert part.ledger_capacity_ah == pytest.approx(100.0)
    assert all(note.startswith("house bank: ") for note in part.notes)


def test_without_a_house_bank_there_is_none(plain_day):
    assert build_house_bank(validate(plain_day())) is None


@pytest.mark.parametrize(
    ("keys", "path", "hint"),
    [
        ({"chemistry": "amg"}, "house_bank.chemistry", "did you mean 'agm'"),
        ({"chemistry": "starting"}, "house_bank.chemistry", "house_bank.insist = true"),
        ({"reserve": "200 min"}, "house_bank.reserve", "house_bank.peukert_exponent"),
        ({"temperature": "-30 degC"}, "house_bank.temperature", ""),
    ],
    ids=["typo", "starting", "reserve", "cold"],
)
def test_what_is_wrong_with_the_house_bank_stands_at_its_own_table(house, keys, path, hint):
    with pytest.raises(ScenarioError) as caught:
        house(**keys)
    assert [problem.path for problem in caught.value.problems] == [path]
    assert hint in caught.value.problems[0].hint
