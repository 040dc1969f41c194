"""Text from outside gives an answer, a list of what is wrong, or a refusal; never anything else."""

import os
import zipfile
from io import BytesIO

import attacks
import doors
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

hostile = settings(settings.get_profile("hostile"))
few = settings(settings.get_profile("hostile"), max_examples=25)
TABLES = [name for name in doors.FILES if name.endswith(".csv")]
READ = {name: (doors.EXAMPLES / name).read_text(encoding="utf-8") for name in doors.FILES}
words = st.one_of(st.sampled_from(attacks.WORDS), st.text(max_size=30))


@hostile
@given(text=attacks.changed(doors.DEMO))
def test_a_changed_design_is_answered_or_told_what_is_wrong(shop, text):
    doors.design(shop, text)


@hostile
@given(
    data=st.binary(max_size=2000)
    | st.text(max_size=500).map(lambda text: text.encode("utf8", "replace"))
)
def test_bytes_that_are_no_design_are_told_so(shop, data):
    doors.design(shop, data)
    doors.readings(shop, data)
    doors.catalogue(shop, "catalogue.toml", data)


@hostile
@given(text=attacks.changed(doors.READINGS))
def test_changed_readings_are_taken_or_told_what_is_wrong(shop, text):
    doors.readings(shop, text)


@few
@given(text=attacks.changed(READ["catalogue.toml"]))
def test_what_a_catalogue_says_of_itself_may_be_anything(shop, text):
    doors.catalogue(shop, "catalogue.toml", text)


@pytest.mark.parametrize("name", TABLES)
@few
@given(data=st.data())
def test_a_changed_table_is_read_or_told_what_is_wrong(shop, name, data):
    doors.catalogue(shop, name, data.draw(attacks.changed_table(READ[name])))


@few
@given(name=st.sampled_from(TABLES), data=st.binary(max_size=2000))
def test_bytes_that_are_no_table_are_told_so(shop, name, data):
    doors.catalogue(shop, name, data)


NUMBERS = st.one_of(
    st.floats().map(str), st.integers().map(str), st.fractions().map(str), st.just("")
)
UNITS = st.sampled_from(["m", "ft", "in", "degC", "V", "mAh", "%", "W/m", "per m2", "m2", "'", '"'])


@settings(hostile, max_examples=300)
@given(
    text=words
    | st.lists(st.tuples(NUMBERS, UNITS), min_size=1, max_size=3).map(
        lambda parts: " ".join(f"{number} {unit}" for number, unit in parts)
    )
)
def test_a_quantity_is_finite_or_told_how_to_write_it(text):
    doors.quantities(text)


# One flag of each verb that answers from flags alone, and where a word goes in.
VERBS = (
    ("wire", "--amps", "3 A", "--length", "2 m", "--volts", "12 V", "--drop", "3 %"),
    ("hours", "--chemistry", "nimh", "--capacity", "2 Ah", "--volts", "12 V", "--watts", "6 W"),
    ("hours", "--pack", "liion-3s-5200", "--watts", "12 W", "--packs", "2", "--units", "inch"),
    ("dots", "--pitch", "16 mm", "--distance", "25 mm", "--viewer", "1.5 m", "--beam", "120 deg"),
    ("sheet", "--thickness", "3 mm", "--near", "30 %", "--far", "28 %", "--lamp", "1 m"),
    ("sheet", "--thickness", "10 mm", "--near", "75 %", "--contrast", "40 %"),
    ("catalog", "columns", "packs"),
    ("catalog", "check", str(doors.EXAMPLES)),
    ("catalog", "list", str(doors.EXAMPLES), "packs"),
)


@hostile
@given(
    verb=st.sampled_from(VERBS),
    place=st.integers(0, 20),
    word=words,
    as_json=st.booleans(),
    added=st.booleans(),
)
def test_words_on_the_command_line_are_answered_or_told_what_is_wrong(
    verb, place, word, as_json, added
):
    line = list(verb)
    place %= len(line)
    line[place : place + (not added)] = [word]
    doors.flags([*line, *["--json"] * as_json])


@settings(hostile, max_examples=150)
@given(verb=st.sampled_from(VERBS[:6]), data=st.data())
def test_flags_at_the_ends_of_what_they_allow_are_answered(verb, data):
    """Replace values by extreme ones with the same unit; whatever is allowed has an answer."""
    line = list(verb)
    for place in range(2, len(line), 2):
        _, _, unit = line[place].partition(" ")
        if unit and data.draw(st.booleans()):
            size = data.draw(
                st.floats(1e-4, 1e4) | st.sampled_from([0, 0.1, 0.5, 1, 50, 60, 100, 110, 175])
            )
            line[place] = f"{size} {unit}"
    doors.flags(line)
    doors.flags([*line, "--json"])


@pytest.mark.parametrize("word", [*attacks.NAMES, "/dev/zero", "/dev/stdin", "/proc/self/mem"])
@pytest.mark.parametrize(
    "line",
    [
        ("answer", "@"),
        ("compare", "@", "--json"),
        ("answer", "catalog_examples/hall-bench.toml", "--catalog", "@"),
        ("look", "@", "--no-pictures"),
        ("bench", "catalog_examples/hall-bench.toml", "@"),
        ("packet", "@", "--out", "@"),
        ("catalog", "check", "@"),
        ("@",),
        ("answer", "@", "@"),
        ("page", "@", "--port", "@"),
    ],
    ids=" ".join,
)
def test_names_that_lead_nowhere_are_told_so(tmp_path, monkeypatch, line, word):
    monkeypatch.chdir(tmp_path)
    demo = str(doors.EXAMPLES / "hall-bench.toml")
    line = [demo if one.endswith("bench.toml") else one.replace("@", word) for one in line]
    result = doors.flags(line, seconds=5)
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []


@hostile
@given(
    name=words,
    data=st.binary(max_size=300)
    | attacks.changed(doors.DEMO).map(lambda text: text.encode("utf-8", "replace")),
)
def test_a_design_from_elsewhere_stays_in_the_folder(shop, name, data):
    doors.upload_design(shop, name, data)


def a_zip(entries):
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in entries:
            target.writestr(zipfile.ZipInfo(name), data)
    return packed.getvalue()


GOOD_ZIP = a_zip(READ.items())
inner_names = st.one_of(
    st.sampled_from(doors.FILES),
    st.sampled_from(["parts/", "../", "/", "__MACOSX/", "a/b/", "C:\\"]).map(
        lambda outer: outer + "packs.csv"
    ),
    st.text(min_size=1, max_size=20),
)


@hostile
@given(
    name=words,
    entries=st.lists(st.tuples(inner_names, st.binary(max_size=100)), max_size=25),
    spoil=st.lists(st.tuples(st.integers(0, 10_000), st.integers(0, 255)), max_size=6),
)
def test_a_catalogue_from_elsewhere_stays_in_the_folder(shop, name, entries, spoil):
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of two entries with one name
        data = bytearray(a_zip(entries) if entries else GOOD_ZIP)
    for place, byte in spoil:
        data[-1 - place % len(data)] = byte
    doors.upload_zip(shop, name, bytes(data))


@few
@given(data=st.binary(max_size=500))
def test_bytes_that_are_no_zip_are_told_so(shop, data):
    doors.upload_zip(shop, "parts.zip", data)


@pytest.mark.parametrize("name", attacks.NAMES)
def test_a_name_never_leads_out(shop, name):
    doors.name(shop, name)


@settings(hostile, max_examples=300)
@given(text=words)
def test_a_name_of_any_letters_never_leads_out(shop, text):
    doors.name(shop, text)


def test_a_pipe_or_device_is_not_waited_for(shop, tmp_path):
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    for word in (str(pipe), "/dev/zero", "/dev/tty"):
        for line in (["answer", word], ["bench", str(doors.EXAMPLES / "hall-bench.toml"), word]):
            result = doors.flags(line)
            assert result.exit_code == 2
            assert "not a plain file" in result.output or "No such" in result.output


@pytest.mark.parametrize("name", ["catalogue.toml", "strips.csv"])
def test_a_pipe_in_a_catalogue_is_not_waited_for(shop, name):
    (shop.parts / name).unlink()
    os.mkfifo(shop.parts / name)
    try:
        assert "is not a plain file" in doors.flags(["catalog", "check", str(shop.parts)]).output
    finally:
        (shop.parts / name).unlink()
        (shop.parts / name).write_text(READ[name])


def test_a_link_out_of_a_catalogue_is_not_followed(shop, tmp_path):
    (tmp_path / "secret").write_text("name,poles\nsecret,2\n")
    place = shop.parts / "connectors.csv"
    place.unlink()
    place.symlink_to(tmp_path / "secret")
    try:
        output = doors.flags(["catalog", "check", str(shop.parts)]).output
        assert "connectors.csv: is a link to another folder" in output
        assert "secret" not in output
    finally:
        place.unlink()
        place.write_text(READ["connectors.csv"])
