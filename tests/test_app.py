"""`streamlit run app.py` shows the same page as `lightcalc page`."""

from pathlib import Path

from streamlit.testing.v1 import AppTest

from lightcalc.screens.page.desk import FOLDER_VARIABLE

APP = Path(__file__).parents[1] / "app.py"


def test_the_page_opens_with_its_answers(tmp_path, monkeypatch):
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path / "designs"))
    page = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not page.exception
    assert page.title[0].value == "Hall bench with a resin seam"
    assert len(page.header) == 4
