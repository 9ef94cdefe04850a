"""Charts as files: the same bytes every time, an SVG a screen reader reads, fonts inside."""

import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from energysim.charts import FORMATS, chart_bytes, charts, draw
from energysim.charts.svg import accessible

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"
KINDS = tuple(charts())


def svg_of(shipped, kind, **options):
    figure = shipped.drawn("estuary", kind)
    return chart_bytes(figure, kind, shipped.result("estuary", kind), **options).decode()


@pytest.mark.parametrize("kind", KINDS)
def test_an_svg_says_what_it_is(shipped, kind):
    text = svg_of(shipped, kind)
    root = ET.fromstring(text)
    assert text.startswith("<svg")
    assert root.get("role") == "img"
    names = root.get("aria-labelledby").split()
    by_id = {one.get("id"): one for one in root.iter() if one.get("id")}
    title, told = (by_id[name] for name in names)
    assert title.tag == f"{SVG}title"
    assert charts()[kind].title in title.text
    assert told.tag == f"{SVG}desc"
    assert len(told.text) > 80
    assert not re.search(r"[{}]|nan|None", told.text)
    assert [float(part) for part in root.get("viewBox").split()][:3] == [0.0, 0.0, 252.0]
    assert root.get("width") is None
    assert root.get("height") is None
    assert "metadata" not in text


@pytest.mark.parametrize("kind", KINDS)
def test_ids_of_an_svg_are_its_own_and_lead_somewhere(shipped, kind):
    text = svg_of(shipped, kind)
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert all(one.startswith(f"chart-{kind}") for one in ids)
    links = re.findall(r'href="([^"]+)"', text) + re.findall(r"url\(([^)]+)\)", text)
    assert links
    assert {link.removeprefix("#") for link in links} <= set(ids)
    assert "<image" not in text


def test_letters_of_an_svg_keep_their_size(shipped):
    # An outline is scaled from its font's grid: rounding the factor makes letters run together.
    plain = {"0.015625"}
    scales = set(re.findall(r"scale\((0\.\d+)\)", svg_of(shipped, "legs")))
    assert scales <= plain
    assert scales


def test_rounding_leaves_scales_alone_and_takes_the_rest_to_a_hundredth():
    drawing = (
        '<svg xmlns="x"><g id="a" transform="translate(1.23456 2) scale(0.015625)"/></svg>'
    )
    told = accessible(drawing, title="t", description="d", prefix="p")
    assert 'transform="translate(1.23 2) scale(0.015625)"' in told


@pytest.mark.parametrize(
    ("editable", "letters"), [pytest.param(True, True), pytest.param(False, False)]
)
def test_text_is_outlined_unless_it_is_to_be_edited(shipped, editable, letters):
    text = svg_of(shipped, "hold", editable_text=editable)
    assert ("<text" in text) is letters
    assert ("Hours of hold</text>" in text) is letters


def test_what_a_title_says_cannot_break_the_file():
    told = accessible("<svg><g/></svg>", title="a < b & c", description='"<x>"', prefix="p")
    root = ET.fromstring(told)
    assert [one.text for one in root][:2] == ["a < b & c", '"<x>"']


@pytest.mark.parametrize("kind", KINDS)
def test_a_chart_drawn_again_is_the_same_to_the_byte(shipped, kind):
    result = shipped.result("lake", kind)
    first, second = (chart_bytes(draw(kind, result), kind, result) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("file_format", FORMATS)
def test_every_format_is_the_same_to_the_byte(shipped, file_format):
    result = shipped.result("estuary", "legs")
    files = [
        chart_bytes(draw("legs", result), "legs", result, file_format=file_format)
        for _ in range(2)
    ]
    assert files[0] == files[1]


def test_another_process_writes_the_same_bytes():
    command = [
        sys.executable, "-m", "energysim", "chart", "endurance",
        str(ROOT / "scenarios" / "estuary" / "estuary.toml"), "--out", "-",
    ]  # fmt: skip
    answers = [
        subprocess.run(
            command,
            capture_output=True,
            check=True,
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        ).stdout
        for seed in ("1", "2")
    ]
    assert answers[0] == answers[1]
    assert answers[0].startswith(b"<svg")


def test_a_pdf_carries_its_fonts_as_they_are(shipped):
    result = shipped.result("estuary", "legs")
    content = chart_bytes(shipped.drawn("estuary", "legs"), "legs", result, file_format="pdf")
    assert content.startswith(b"%PDF")
    assert b"/FontFile2" in content  # embedded TrueType (PDF 1.7, table 126)
    assert b"/Type3" not in content
    assert b"CreationDate" not in content


def test_a_png_has_600_dots_an_inch(shipped):
    result = shipped.result("estuary", "legs")
    content = chart_bytes(shipped.drawn("estuary", "legs"), "legs", result, file_format="png")
    # Width stands in bytes 16 to 19 (PNG specification, IHDR).
    assert int.from_bytes(content[16:20]) == 2100


def test_another_format_is_refused(shipped):
    figure = shipped.drawn("estuary", "legs")
    with pytest.raises(ValueError, match="file_format = 'jpg' is not known; choose from svg"):
        chart_bytes(figure, "legs", shipped.result("estuary", "legs"), file_format="jpg")
