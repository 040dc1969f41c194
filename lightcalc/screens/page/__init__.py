"""The page: one small file a screen. Nothing is computed here; only the page loads Streamlit.

`page` starts it, `desk` holds what is open, `fields` are the forms, `headline` the four answers.
"""
