"""A design, names of any kind, and all that lies under a folder."""

from hypothesis import strategies as st

from lightcalc.problems import BadInput

BENCH = 'format = 1\n[piece]\nname = "Bench"\n'
SECRET = "nobody may read this"
KNOWN = {"catalogue.toml", "strips.csv", "packs.csv"}

# Any text at all, half signs included, and texts made of what leads elsewhere.
ANY_TEXT = st.one_of(
    st.text(),
    st.text(st.characters(categories=["L", "N"], include_characters=" -_.,'()"), max_size=90),
    st.text(st.characters(categories=None), max_size=120),
    st.lists(
        st.sampled_from(
            ["..", ".", "/", "\\", "~", "C:", "\0", "\n", "a", " ", "con", "nul", ".toml", "\u202e"]
        ),
        max_size=8,
    ).map("".join),
)


def everything(place):
    """Return all files under a folder with what they hold, except locks."""
    return {
        path.relative_to(place).as_posix(): path.read_bytes()
        for path in place.rglob("*")
        if path.is_file() and path.name != "lock"
    }


def found_or_told(call):
    """Return what a call gives, and the sentence with which it was refused."""
    try:
        return call(), ""
    except BadInput as bad:
        return None, str(bad)
