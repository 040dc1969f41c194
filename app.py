"""The page, for `streamlit run app.py`; `lightcalc page` starts it with safer settings."""

from lightcalc.screens.page.page import show_page

if __name__ == "__main__":
    show_page()
