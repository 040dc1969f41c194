"""How long a maker waits on the page, beside an empty page of the same server software.

The empty page holds one field and shows what was typed. Both are seen by the same browser in the
same run, in turn, so that both see the same machine. Medians are printed.
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from maker import CHROMIUM, DESK, missing
from served import Served, free_port, wait_for

REPEATS, OPENINGS = 25, 7
MOST_LONGER_S, MOST_RATIO = 0.4, 1.5
EMPTY = """import streamlit as st
st.title("Echo")
st.markdown("said " + st.text_input("Say", "1"))
"""
OURS_SHOWN = "document.querySelectorAll('.st-key-answers h2').length >= 4"
EMPTY_SHOWN = "document.querySelector('.stMain')?.innerText.includes('said')"
OURS_TEXT = "document.querySelector('.st-key-answers h2').innerText"
EMPTY_TEXT = "[...document.querySelectorAll('p')].find(e => /^said/.test(e.innerText)).innerText"
# From the key to the first moment at which another text is on the page, in milliseconds.
WATCH = """what => {
    const text = () => { try { return eval(what) } catch { return null } }
    const was = text()
    window.took = null
    let pressed = null
    document.addEventListener("keydown", e => {
        if (e.key === "Enter") pressed = performance.now()
    }, { capture: true, once: true })
    const watch = new MutationObserver(() => {
        const now = text()
        if (pressed === null || now === null || now === was) return
        watch.disconnect()
        requestAnimationFrame(() => { window.took = performance.now() - pressed })
    })
    watch.observe(document.body, { subtree: true, childList: true, characterData: true })
}"""


@pytest.fixture
def pages(tmp_path):
    """Our page and an empty one, both served; the addresses of both."""
    if missing():
        pytest.skip(missing())
    ours = Served(tmp_path / "designs")
    (tmp_path / "empty.py").write_text(EMPTY, encoding="utf-8")
    port = free_port()
    words = ("-m", "streamlit", "run", str(tmp_path / "empty.py"), f"--server.port={port}")
    plain = ("--server.headless=true", "--server.address=localhost", "--client.toolbarMode=minimal")
    quiet = ("--server.fileWatcherType=none", "--browser.gatherUsageStats=false")
    empty = subprocess.Popen([sys.executable, *words, *plain, *quiet], stdout=subprocess.DEVNULL)
    try:
        wait_for(f"http://localhost:{port}", empty)
        yield ours.url, f"http://localhost:{port}"
    finally:
        ours.kill()
        empty.kill()
        empty.wait()


def _changed_ms(page, label, typed, text):
    page.get_by_label(label, exact=True).fill(typed)
    page.evaluate(WATCH, text)
    page.get_by_label(label, exact=True).press("Enter")
    page.wait_for_function("window.took !== null")
    took = page.evaluate("window.took")
    page.wait_for_function(
        "document.querySelector('.stApp').dataset.testScriptState==='notRunning'"
    )
    return took


def _opened_s(browser, url, shown):
    context = browser.new_context(viewport={"width": DESK[0], "height": DESK[1]})
    page = context.new_page()
    start = time.perf_counter()
    page.goto(url)
    page.wait_for_function(shown)
    took = time.perf_counter() - start
    context.close()
    return took


def _told(what, values):
    low, _, high = statistics.quantiles(values, n=4)
    median = statistics.median(values)
    print(f"{what}: {median:.2f} s (half of them {low:.2f} to {high:.2f}, {len(values)} times)")
    return median


@pytest.mark.bench
def test_a_change_and_a_first_look_take_little_longer_than_on_an_empty_page(pages) -> None:
    from playwright.sync_api import sync_playwright

    ours_url, empty_url = pages
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"]
        )
        ours, empty = browser.new_page(), browser.new_page()
        ours.goto(ours_url)
        empty.goto(empty_url)
        ours.wait_for_function(OURS_SHOWN)
        empty.wait_for_function(EMPTY_SHOWN)
        changes = []
        for number in range(REPEATS + 2):
            # Whole cut units of 5 cm; long and short in turn, so that the hours shown do change,
            # and each another length, so that it was not answered before.
            ours.bring_to_front()
            length = f"{1.4 - 0.05 * (number // 2) - 0.7 * (1 - number % 2):.2f} m"
            ours_ms = _changed_ms(ours, "Length of front rail", length, OURS_TEXT)
            empty.bring_to_front()
            changes.append((ours_ms, _changed_ms(empty, "Say", f"{number}x", EMPTY_TEXT)))
        opened = [
            (
                _opened_s(browser, ours_url, OURS_SHOWN),
                _opened_s(browser, empty_url, EMPTY_SHOWN),
            )
            for _ in range(OPENINGS + 1)
        ][1:]
        browser.close()
    print()
    change = _told("a changed number on our page", [ms / 1000 for ms, _ in changes[2:]])
    echo = _told("a changed text on an empty page", [ms / 1000 for _, ms in changes[2:]])
    print(f"longer by {change - echo:.2f} s; asked: at most {MOST_LONGER_S:g} s")
    first = _told("the four answers on opening", [s for s, _ in opened])
    bare = _told("an empty page on opening", [s for _, s in opened])
    print(f"times {first / bare:.2f}; asked: at most {MOST_RATIO:g}")
    assert change - echo <= MOST_LONGER_S
    assert first / bare <= MOST_RATIO
