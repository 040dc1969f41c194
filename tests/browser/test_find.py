"""A search in a browser: what it shows can be used on a phone and by a reader of screens."""

import pytest
from maker import AXE, DESK, FADED, PHONE
from served import skip_or_fail
from test_screens import AXE_RUN, GRADES, IS_DARK, LEAST_TOUCH_PX, SIZES, TOUCHED, WIDTHS

from lightcalc.folder.work import open_work

FEW = '[find]\nopen = ["converter", "feeds"]\n\n[use]'
# Cells whose text stands on more than one line.
BROKEN = """[...document.querySelectorAll("[class*='st-key-table'] td")].filter(cell => {
    const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT), range = new Range()
    while (texts.nextNode()) {
        range.selectNodeContents(texts.currentNode)
        if (range.getClientRects().length > 1) return true
    }
}).map(cell => cell.innerText)"""


@pytest.fixture
def searched(tab, served, bench):
    """A tab of some size in which a short search has come to its end."""

    def search(size, **options):
        served.design(bench, ("[use]", FEW))
        maker = tab(size, **options).open(bench, "find")
        maker.press("Search")
        maker.page.locator("table").filter(has_text="fall in light").first.wait_for()
        return maker

    return search


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_what_was_found_can_be_read_and_touched_light_or_dark(searched, size):
    maker = searched(size, has_touch=size == PHONE)
    maker.page.locator(".js-plotly-plot svg.main-svg").first.wait_for()
    assert len(maker.table("fall in light")) > 1
    assert maker.page.evaluate(BROKEN) == []
    assert max(maker.page.evaluate(WIDTHS)) <= size[0]
    for selector in TOUCHED.values() if size == PHONE else ():
        sizes = maker.page.evaluate(SIZES, selector)
        assert [(name, px) for name, px in sizes if px < LEAST_TOUCH_PX] == []
    if not AXE.exists():
        skip_or_fail(f"{AXE} is not there; .ci/run fetches it")
    maker.page.add_script_tag(path=AXE)
    for scheme in ("dark", "light"):
        maker.page.emulate_media(color_scheme=scheme)
        maker.until(f"({IS_DARK}) === {str(scheme == 'dark').lower()}")
        maker.until(FADED)
        found = maker.page.evaluate(AXE_RUN)
        assert [fault for fault in found if fault[0] in GRADES] == [], scheme


def test_a_search_finds_what_the_command_line_finds_and_goes_on_as_the_other_way(searched, bench):
    maker = searched(DESK)
    told = maker.served.numbers("find", bench)
    rows = maker.table("fall in light")
    assert [row[0] for row in rows] == [*(str(n["rank"]) for n in told["found"]), "as drawn"]
    assert [row[1] for row in rows[:-1]] == [
        f"{found['merits']['price']:.0f} EUR" for found in told["found"]
    ]
    maker.press("Take 1 as the other way")
    maker.sees("Number 1 is now the other way")
    # Nothing else of the design changed, however soon after opening one searched.
    path = maker.served.folder / bench
    assert open_work(path.parent, bench).text == path.read_text(encoding="utf-8")
