"""What Streamlit runs for the page."""

from lightcalc.screens.page.page import show_page

if __name__ == "__main__":
    show_page()
