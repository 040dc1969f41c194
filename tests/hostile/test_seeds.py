"""What once broke the product, one case each; a search that finds another adds it here."""

import doors
import pytest

from lightcalc.parts.rewrite import rewritten

_STRIPS = (doors.EXAMPLES / "strips.csv").read_text(encoding="utf-8")
_ABOUT = 'name = "a"\ncurrency = "EUR"\n'
_DEMO = str(doors.EXAMPLES / "hall-bench.toml")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        # The parser's own depth, and its limit of digits, were not caught.
        ("catalogue.toml", f"a = {'[' * 1500}"),
        ("catalogue.toml", f"{_ABOUT}format = {'1' * 1990}"),
        # Memory and time by the square of the length.
        ("catalogue.toml", f"{_ABOUT}a{'.a' * 900} = 1"),
        # One sentence for each of thousands of keys.
        ("catalogue.toml", _ABOUT + "".join(f"a{n} = 1\n" for n in range(9_000))),
        # So small that a metre has more cut units than a number can say.
        ("strips.csv", _STRIPS.replace(",4.8,50,16.667,", ",4.8,1e-320,1e-320,")),
    ],
    ids=["deep", "digits", "dots", "keys", "denormal"],
)
def test_a_file_of_a_catalogue(shop, name, text):
    assert doors.catalogue(shop, name, text) == "refused"


@pytest.mark.parametrize(
    "text",
    [
        '[[readings]]\nrun = "front rail"\nat = ""\nvolts = "11.9 V"',
        '[[readings]]\nrun = "front rail"\nat = " \\t "\nvolts = "11.9 V"',
    ],
    ids=["empty", "blank"],
)
def test_a_place_of_a_reading_that_is_empty(shop, text):
    assert doors.readings(shop, text) == "refused"


@pytest.mark.parametrize(
    ("line", "status"),
    [
        (("answer", _DEMO, "\x9b31m\u202ebench"), 2),
        (("answer", "a\0b"), 2),
        (("answer", _DEMO, "--catalog", "\0"), 2),
        (("answer", "\ud800"), 2),
        # Nothing scattered, and nothing but scattered: both divided by nothing.
        (("sheet", "--thickness", "10 mm", "--near", "75 %", "--contrast", "100 %", "--json"), 0),
        (("sheet", "--thickness", "10 mm", "--near", "100 %", "--contrast", "40 %", "--json"), 0),
    ],
    ids=["C1", "NUL", "NUL of a folder", "surrogate", "clear", "forward"],
)
def test_words_on_the_command_line(line, status):
    result = doors.flags(line)
    assert result.exit_code == status
    assert "null" not in result.output


@pytest.mark.parametrize(
    "comment",
    ["# a\u2028b,c", "# a\u0085b,c", "# a\x0cb", f"# {'a' * 140_000}", '# "'],
    ids=["line separator", "next line", "form feed", "long", "quote"],
)
def test_a_comment_of_a_table_that_is_written_again(comment):
    text = f"{comment}\nname,capacity (mAh)\n{comment}\nred,2000\n"
    again = rewritten(text, "packs", {"red": {"capacity_coulomb": 6840.0}})
    assert again == text.replace("2000", "1900")
