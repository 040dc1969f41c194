"""Every screen can be used on a phone, by keyboard and by a reader of screens, light and dark.

axe-core (Deque Systems) checks against WCAG 2.2; what it calls serious or critical fails.
"""

from dataclasses import dataclass

import pytest
from maker import AXE, DESK, FADED, PHONE, SCREENS, Maker
from served import skip_or_fail

# Nothing is typed into it here, so that each worker draws its look but once.
DEMO = "hall-bench.toml"
LEAST_TOUCH_PX = 40
GRADES = ("serious", "critical")
# What one presses and types into; the small signs for help are beside what they explain.
TOUCHED = {
    "buttons": ".stMain [data-testid^='stBaseButton']",
    "fields": ".stMain [data-testid='stTextInputRootElement']",
    "choices": ".stMain [role='group']:has(> [role='combobox'])",
    "folds": ".stMain summary",
    "menu": "header button",
}
# What is there to be touched at least; the menu is on every screen of a phone.
HELD = {
    "": {"fields", "choices"},
    "design": {"buttons", "fields", "choices", "folds"},
    "charts": {"buttons", "choices"},
    "packs": {"buttons"},
    "find": {"buttons", "folds"},
    "look": {"buttons"},
    "bench": {"buttons", "fields", "choices", "folds"},
    "safety": set(),
    "files": {"buttons", "choices"},
}
AXE_RUN = """async () => (await axe.run(document, { resultTypes: ["violations"] })).violations.map(
    v => [v.impact, v.id, v.nodes.map(n => [n.target.join(" "), n.html.slice(0, 160)])]
)"""
WIDTHS = """[document.documentElement, document.querySelector(".stMain")].map(
    e => e.scrollWidth
)"""
IS_DARK = """getComputedStyle(document.querySelector(".stApp")).backgroundColor
    .match(/\\d+/g).slice(0, 3).every(share => share < 100)"""
SIZES = """selector => [...document.querySelectorAll(selector)]
    .filter(e => e.getClientRects().length && e.checkVisibility())
    .map(e => [e.innerText || e.ariaLabel || e.className, e.getBoundingClientRect().height])"""


BOTTOMS = """[".st-key-answers p", ".st-key-answers h2"].flatMap(
    (what, n) => [...document.querySelectorAll(what)].slice(0, n ? undefined : 1)
).map(e => e.getBoundingClientRect().bottom)"""
FORGET = "location.protocol === 'http:' && localStorage.clear()"
SCROLLED = "document.querySelector('.stMain').scrollTop + window.scrollY"


@dataclass(frozen=True)
class Sight:
    """A screen of the demo that was opened at some size."""

    maker: Maker
    screen: str
    size: tuple[int, int]


@pytest.fixture(scope="module")
def makers(lasting_tab):
    return {DESK: lasting_tab(DESK), PHONE: lasting_tab(PHONE, has_touch=True)}


@pytest.fixture(
    scope="module",
    params=[(size, screen) for size in (DESK, PHONE) for screen in SCREENS],
    ids=lambda of: f"{'phone' if of[0] == PHONE else 'desk'} {of[1] or 'answers'}",
)
def sight(makers, request):
    """Every screen is opened once at each size; the tests below look at it in turn."""
    size, screen = request.param
    # Whether the menu was left open is kept there; each screen is as one finds it at first.
    makers[size].page.evaluate(FORGET)
    maker = makers[size].open(DEMO, screen)
    if screen == "charts":
        maker.page.locator(".js-plotly-plot svg.main-svg").first.wait_for()
    return Sight(maker, screen, size)


def test_whether_it_works_and_its_answers_are_seen_without_scrolling(sight):
    page = sight.maker.page
    verdict, *numbers = page.evaluate(BOTTOMS)
    assert page.evaluate(SCROLLED) == 0
    assert 0 < verdict < min(numbers)
    assert len(numbers) == 4
    # Whole answers, one above the other on a phone, leave the fourth just below.
    seen = 3 if sight.size == PHONE and sight.screen == "" else 4
    assert max(numbers[:seen]) <= sight.size[1], numbers


def test_no_screen_scrolls_sideways_and_all_of_a_phone_can_be_touched(sight):
    page = sight.maker.page
    assert max(page.evaluate(WIDTHS)) <= sight.size[0]
    sizes = {what: page.evaluate(SIZES, selector) for what, selector in TOUCHED.items()}
    assert HELD[sight.screen] <= {what for what, found in sizes.items() if found}
    if sight.size == PHONE:
        assert sizes["menu"]
        small = [one for found in sizes.values() for one in found if one[1] < LEAST_TOUCH_PX]
        assert small == []


@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_no_screen_has_a_serious_fault_that_axe_finds(sight, scheme):
    if not AXE.exists():
        skip_or_fail(f"{AXE} is not there; .ci/run fetches it")
    maker = sight.maker
    if not maker.page.evaluate("'axe' in window"):
        maker.page.add_script_tag(path=AXE)
    maker.page.emulate_media(color_scheme=scheme)
    maker.until(f"({IS_DARK}) === {str(scheme == 'dark').lower()}")
    maker.until(FADED)
    found = maker.page.evaluate(AXE_RUN)
    assert [fault for fault in found if fault[0] in GRADES] == []


def test_safety_is_reached_from_every_screen(sight):
    maker = sight.maker
    menu = maker.page.get_by_test_id("stExpandSidebarButton")
    if menu.is_visible():
        menu.click()
    maker.page.get_by_role("link", name="Safety").click()
    maker.sees("For this design")


def test_the_answers_can_be_changed_without_a_mouse(maker, bench):
    maker.open(bench)
    field = maker.field("Length of front rail")
    for _ in range(30):
        maker.page.keyboard.press("Tab")
        if field.evaluate("e => e === document.activeElement"):
            break
    maker.page.keyboard.press("ControlOrMeta+a")
    maker.page.keyboard.type("1.2 m")
    maker.ran(lambda: maker.page.keyboard.press("Enter"))
    maker.save()
    assert 'length = "1.2 m"' in (maker.served.folder / bench).read_text(encoding="utf-8")
