"""The sheets print as they should, on A4 and on Letter, in a browser that makers have."""

import re
import shutil
import subprocess

import pytest
from pieces import example

from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.care_card import care_card

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
PDFINFO = shutil.which("pdfinfo")
SIZES_PT = {"A4": (595, 842), "letter": (612, 792)}

pytestmark = pytest.mark.skipif(
    not (BROWSER and PDFINFO), reason="printing is checked with chromium and pdfinfo: not here"
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
        timeout=120,
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
