"""Every screen can be used on a phone, by keyboard and by a reader of screens, light and dark.

axe-core (Deque Systems) checks against WCAG 2.2; what it calls serious or critical fails.
"""

import pytest
from maker import AXE, DESK, FADED, PHONE, SCREENS, STILL
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
SCROLLED = "document.querySelector('.stMain').scrollTop + window.scrollY"


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_whether_it_works_and_its_answers_are_seen_without_scrolling(tab, size):
    maker = tab(size)
    for screen in SCREENS:
        maker.open(DEMO, screen)
        verdict, *numbers = maker.page.evaluate(BOTTOMS)
        assert maker.page.evaluate(SCROLLED) == 0
        assert 0 < verdict < min(numbers), screen
        assert len(numbers) == 4
        # Whole answers, one above the other on a phone, leave the fourth just below.
        seen = 3 if size == PHONE and screen == "" else 4
        assert max(numbers[:seen]) <= size[1], (screen, numbers)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_safety_is_reached_from_every_screen(tab, size):
    maker = tab(size)
    for screen in SCREENS:
        maker.open(DEMO, screen)
        menu = maker.page.get_by_test_id("stExpandSidebarButton")
        if menu.is_visible():
            menu.click()
        maker.page.get_by_role("link", name="Safety").click()
        maker.sees("For this design")


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_no_screen_has_a_serious_fault_that_axe_finds_light_or_dark(tab, size):
    if not AXE.exists():
        skip_or_fail(f"{AXE} is not there; .ci/run fetches it")
    maker = tab(size)
    faults = []
    for screen in SCREENS:
        maker.open(DEMO, screen)
        if screen == "charts":
            maker.page.locator(".js-plotly-plot svg.main-svg").first.wait_for()
        maker.page.add_script_tag(path=AXE)
        for scheme in ("dark", "light"):
            maker.page.emulate_media(color_scheme=scheme)
            maker.until(f"({IS_DARK}) === {str(scheme == 'dark').lower()}")
            maker.until(FADED)
            found = maker.page.evaluate(AXE_RUN)
            faults += [(screen, scheme, *fault) for fault in found if fault[0] in GRADES]
    assert faults == []


def test_no_screen_of_a_phone_scrolls_sideways_and_all_can_be_touched(tab):
    maker, met = tab(PHONE, has_touch=True), set()
    for screen in SCREENS:
        maker.open(DEMO, screen).until(STILL)
        assert max(maker.page.evaluate(WIDTHS)) <= PHONE[0], screen
        for what, selector in TOUCHED.items():
            sizes = maker.page.evaluate(SIZES, selector)
            assert [(name, px) for name, px in sizes if px < LEAST_TOUCH_PX] == [], screen
            met |= {what} if sizes else set()
    assert met == set(TOUCHED)


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
