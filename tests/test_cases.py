"""The trade's cases, and the user's own batteries from a file."""

import csv
from pathlib import Path

import pytest

import energysim
from energysim.cases import block_ranges, case_sizes, read_blocks
from energysim.catalogue import batteries
from energysim.errors import FileError, ScenarioError

HEADER = (
    "name,chemistry,voltage_v,capacity_ah,rated_time_h,reserve_min,mass_kg,"
    "length_m,width_m,height_m,source"
)
ROW = "my-agm,agm,12,105,20,190,31.3,0.33,0.173,0.24,my label"
INCHES = (
    "name,chemistry,voltage [V],capacity [Ah],rated time [h],reserve [h],mass [lb],"
    "length [in],width (in),height [mm],source"
)


@pytest.fixture
def blocks(tmp_path):
    """From the lines of a file to the batteries in it."""

    def read(*lines, name="blocks.csv"):
        path = tmp_path / name
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return read_blocks(path)

    return read


def problems_of(blocks, *lines):
    """Every problem of a file."""
    with pytest.raises(ScenarioError) as caught:
        blocks(*lines)
    return caught.value.problems


def test_every_listed_battery_stands_in_a_case_of_known_size_with_a_range():
    assert list(block_ranges()) == list(batteries())
    for block in batteries().values():
        case = case_sizes()[block.case]
        assert (block.length_m, block.width_m, block.height_m) == (
            case.length_m, case.width_m, case.height_m
        )  # fmt: skip
        sold = block_ranges()[block.name]
        assert sold.capacity_low_ah <= block.capacity_ah <= sold.capacity_high_ah
        assert sold.mass_low_kg <= block.mass_kg <= sold.mass_high_kg


def test_a_reserve_that_is_not_known_is_none_not_zero():
    assert block_ranges()["31-agm"].reserve_low_min is None
    assert block_ranges()["24-flooded"].reserve_low_min == 120.0


def test_a_row_of_ones_own_becomes_a_battery(blocks):
    (block,) = blocks(HEADER, ROW).values()
    assert (block.name, block.chemistry, block.case) == ("my-agm", "agm", "")
    assert (block.capacity_ah, block.reserve_min, block.mass_kg) == (105.0, 190.0, 31.3)
    assert block.source == "my label"


def test_the_shipped_list_can_be_read_as_ones_own_but_for_its_names(blocks):
    path = Path(energysim.__file__).parent / "data" / "batteries.csv"
    with path.open(encoding="utf-8", newline="") as file:
        lines = file.read().splitlines()
    mine = [lines[0], *(f"my-{line}" for line in lines[1:])]
    read = blocks(*mine)
    assert [name.removeprefix("my-") for name in read] == list(batteries())
    for block in read.values():
        listed = batteries()[block.name.removeprefix("my-")]
        for field in ("case", "voltage_v", "capacity_ah", "reserve_min", "mass_kg", "height_m"):
            assert getattr(block, field) == getattr(listed, field)


def test_the_unit_may_stand_in_brackets(blocks):
    # By definition: 1 lb is 0.45359237 kg, 1 in 0.0254 m.
    row = '"my-agm",agm,12,105,20,3,69,13,6.8,240,"my label, as read"'
    (block,) = blocks(INCHES, row).values()
    assert block.mass_kg == pytest.approx(69 * 0.45359237)
    assert block.length_m == pytest.approx(13 * 0.0254)
    assert block.height_m == pytest.approx(0.24)
    assert block.reserve_min == pytest.approx(180.0)
    assert block.rated_time_h == 20.0
    assert block.source == "my label, as read"


def test_empty_lines_notes_and_a_missing_reserve_are_no_fault(blocks):
    row = ROW.replace(",190,", ",,")
    (block,) = blocks("# what I own", "", HEADER, ",,,", f"{row},,").values()
    assert block.reserve_min is None


@pytest.mark.parametrize(
    ("row", "column", "path", "reason"),
    [
        (ROW.replace("my-agm", "my agm"), 1, "name", "is not a plain name"),
        (ROW.replace("my-agm", ""), 1, "name", "is empty"),
        (ROW.replace(",agm", ",agn"), 8, "chemistry", "no such chemistry"),
        (ROW.replace(",12,", ",12 V,"), 12, "voltage", "is not a plain number"),
        (ROW.replace(",105,", ",,"), 15, "capacity", "is empty"),
        (ROW.replace(",105,", ",nan,"), 15, "capacity", "is not a plain number"),
        (ROW.replace(",105,", ",1e999,"), 15, "capacity", "outside 1 to 5000"),
        (ROW.replace("0.33", "33"), 31, "length", "is 33 m, outside 0.03 to 2"),
        (ROW.replace("0.33", "-0.33"), 31, "length", "outside 0.03 to 2"),
        (ROW.replace("31.3", "3.13"), None, "my-agm", "come to 403 Wh/kg"),
        (ROW.replace("my-agm", "31-agm"), 1, "name", "stands in the list of batteries"),
        (ROW.replace(",0.24", ""), None, "", "has 10 cells where the first row names 11"),
        (ROW.replace("105", '"1,05"'), 15, "capacity", "is not a plain number"),
    ],
)
def test_a_bad_cell_is_named_with_its_place(blocks, row, column, path, reason):
    (problem,) = problems_of(blocks, HEADER, row)
    assert (problem.line, problem.column, problem.path) == (2, column, path)
    assert reason in problem.reason
    assert problem.file.endswith("blocks.csv")


def test_everything_wrong_is_told_at_once_in_the_order_of_the_file(blocks):
    rows = [ROW, ROW, ROW.replace("my-agm", "two").replace(",12,105,", ",x,y,")]
    found = problems_of(blocks, HEADER, *rows)
    assert [(one.line, one.path) for one in found] == [
        (3, "name"), (4, "voltage"), (4, "capacity")
    ]  # fmt: skip
    assert "stands in this file already" in found[0].reason


@pytest.mark.parametrize(
    ("header", "reason", "hint"),
    [
        (HEADER.replace("mass_kg", "mass"), "has no unit", "write mass_kg, or 'mass [kg]'"),
        (HEADER.replace("mass_kg", "mass [V]"), "'V' is a voltage", ""),
        (HEADER.replace("mass_kg", "weight_lb"), "is not a column", "the columns are"),
        (HEADER.replace("capacity_ah", "capcity"), "is not a column", "mean 'capacity'"),
        (HEADER.replace("source", "mass_kg"), "two columns are the mass", ""),
        (HEADER.replace(",mass_kg", ""), "no column for mass", "the columns are"),
    ],
)
def test_a_bad_first_row_is_explained(blocks, header, reason, hint):
    problem = problems_of(blocks, header, ROW)[0]
    assert problem.line == 1
    assert reason in problem.reason
    assert hint in problem.hint


def test_a_file_without_batteries_is_refused(blocks):
    assert "is empty" in problems_of(blocks, "")[0].reason
    assert "no battery below" in problems_of(blocks, HEADER)[0].reason


def test_a_long_list_of_problems_is_cut_and_says_so(blocks):
    found = problems_of(blocks, HEADER, *[ROW.replace("105", "x")] * 30)
    assert len(found) == 21
    assert found[-1].reason == "and 10 more"


def test_a_file_that_cannot_be_read_is_named(tmp_path):
    with pytest.raises(FileError, match="there is no such file"):
        read_blocks(tmp_path / "none.csv")
    with pytest.raises(FileError, match="cannot be read"):
        read_blocks(tmp_path)
    for content, words in ((b"\xff\xfe\x00", "not UTF-8"), (b"name\0", "not a text")):
        (tmp_path / "odd.csv").write_bytes(content)
        with pytest.raises(FileError, match=words):
            read_blocks(tmp_path / "odd.csv")


def test_the_shipped_files_have_no_other_columns():
    data = Path(energysim.__file__).parent / "data"
    for name, first, last in (
        ("case_sizes.csv", "case", "source"),
        ("case_ranges.csv", "name", "note"),
    ):
        with (data / name).open(encoding="utf-8", newline="") as file:
            titles = next(csv.reader(file))
        assert (titles[0], titles[-1]) == (first, last)
