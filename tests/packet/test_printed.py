"""The sheets print as they should, on A4 and on Letter, in a browser that makers have."""

import re
import shutil
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from pieces import answered, demo, example
from PIL import Image
from test_care_card import two_packs

from lightcalc.design.service import Crossing, Service
from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.care_card import care_card

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
PDFINFO, PDFTOPPM = shutil.which("pdfinfo"), shutil.which("pdftoppm")
PIXELS_A_MM = 10
SIZES_PT = {"A4": (595, 842), "letter": (612, 792)}

pytestmark = pytest.mark.skipif(
    not (BROWSER and PDFINFO and PDFTOPPM),
    reason="chromium or poppler-utils is not here",
)


def pages(sheet, size, folder):
    """Print a sheet on paper of a size and return how many pages it took."""
    page, pdf = folder / "sheet.html", folder / "sheet.pdf"
    sized = sheet.replace("</head>", f"<style>@page {{ size: {size}; }}</style></head>")
    page.write_text(sized, encoding="utf-8")
    subprocess.run(
        [
            *(BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"),
            *(f"--user-data-dir={folder / 'browser'}", f"--print-to-pdf={pdf}", page.as_uri()),
        ],
        check=True,
        capture_output=True,
        timeout=600,
    )
    told = subprocess.run([PDFINFO, pdf], check=True, capture_output=True, text=True).stdout
    width, height = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+)", told).groups())
    assert (round(width), round(height)) == SIZES_PT[size]
    return int(re.search(r"Pages: +(\d+)", told)[1])


@pytest.mark.parametrize("size", SIZES_PT)
def test_the_build_sheet_of_the_demo_takes_at_most_four_pages(size, tmp_path):
    assert 2 <= pages(build_sheet(*example("hall-bench")), size, tmp_path) <= 4


@pytest.mark.parametrize("size", SIZES_PT)
@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_a_care_card_takes_one_page(name, size, tmp_path):
    assert pages(care_card(*example(name)), size, tmp_path) == 1


@pytest.mark.parametrize("size", SIZES_PT)
@pytest.mark.parametrize("controller", ["receiver-infrared-1ch", "dimmer-smooth-1ch", None])
def test_a_care_card_with_a_line_to_write_on_takes_one_page(controller, size, tmp_path):
    drawn, _, _ = demo()
    (one,) = drawn.supplies
    feeds = [
        tuple(replace(f, lead=replace(f.lead, crossing=Crossing())) for f in r.feeds)
        for r in drawn.runs
    ]
    runs = tuple(replace(r, feeds=f) for r, f in zip(drawn.runs, feeds, strict=True))
    # Nothing is said of how to get at the pack, and there is no plug.
    plain = replace(drawn.piece, notes="")
    place = {"sensor_at_m": one.sensor_at_m if controller else None}
    bare = replace(one, controller=controller, service=Service(), connectors=(), **place)
    made = answered(replace(drawn, piece=plain, joints=(), runs=runs, supplies=(bare,)))
    assert 'class="blank"' in care_card(*made)
    assert pages(care_card(*made), size, tmp_path) == 1


@pytest.mark.parametrize("size", SIZES_PT)
def test_a_care_card_for_two_kinds_of_pack_that_must_stop_takes_one_page(size, tmp_path):
    made = two_packs()
    assert made[2].stops
    assert pages(care_card(*made), size, tmp_path) == 1


def longest_line_mm(pdf, page, folder):
    """Return how long the longest level line of a printed page is."""
    picture = folder / "page"
    dots_an_inch = str(25.4 * PIXELS_A_MM)
    only = ("-f", str(page), "-l", str(page), "-r", dots_an_inch, "-gray", "-singlefile")
    subprocess.run([PDFTOPPM, *only, "-png", pdf, picture], check=True, timeout=600)
    dark = np.array(Image.open(picture.with_suffix(".png")).convert("L")) < 160
    edges = np.diff(np.pad(dark, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    starts, ends = (np.argwhere(edges == way)[:, 1] for way in (1, -1))
    return float((ends - starts).max()) / PIXELS_A_MM


@pytest.mark.parametrize("size", SIZES_PT)
def test_a_strip_of_1400_mm_at_1_to_10_measures_140_mm_on_paper(size, tmp_path):
    made, catalogue, found = example("hall-bench")
    assert [run.cut_length_m for run in found.runs] == pytest.approx([1.4, 1.4])
    pages(build_sheet(made, catalogue, found), size, tmp_path)
    # The strips are on the second page, and nothing there is longer. A line is 0.5 mm wide at most.
    assert longest_line_mm(tmp_path / "sheet.pdf", 2, tmp_path) == pytest.approx(140.0, abs=0.6)
