"""Uploads get a name and a place of their own, and nothing comes along that should not."""

import io
import stat
import struct
import zipfile
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, event, example, given, settings
from hypothesis import strategies as st
from shop_folder import ANY_TEXT, BENCH, KNOWN, everything, found_or_told

from lightcalc.folder import saving as saving_module
from lightcalc.folder.place import catalogue_names, design_names, read_text
from lightcalc.folder.uploads import (
    take_before,
    take_catalogue,
    take_catalogue_zip,
    take_design,
    zip_of_catalogue,
)
from lightcalc.folder.work import keep_work, open_work

ABOUT = b'name = "Parts"\ncurrency = "EUR"\n'
FILES = [("catalogue.toml", ABOUT), ("strips.csv", b"name\nwarm\n")]


def zipped(entries, method=zipfile.ZIP_DEFLATED):
    """Return a zip of names (or whole ZipInfo) and contents."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as target:
        for name, data in entries:
            target.writestr(name, data)
    return packed.getvalue()


def changed(data, signature, offset, form, value):
    """Return a zip with one field of each record of a kind changed."""
    spoilt, at = bytearray(data), 0
    while (at := data.find(signature, at)) >= 0:
        struct.pack_into(form, spoilt, at + offset, value)
        at += 1
    assert bytes(spoilt) != data
    return bytes(spoilt)


LOCAL, CENTRAL = b"PK\x03\x04", b"PK\x01\x02"


def flagged(data, bit):
    return changed(changed(data, LOCAL, 6, "<H", bit), CENTRAL, 8, "<H", bit)


def claiming(data, size):
    return changed(changed(data, LOCAL, 22, "<I", size), CENTRAL, 24, "<I", size)


def made_on_unix(name, mode):
    info = zipfile.ZipInfo(name)
    info.create_system = 3
    info.external_attr = mode << 16
    return info


def test_a_design_gets_the_first_free_name(folder):
    assert take_design(folder, "bench.toml", b"a = 1") == "bench 2.toml"
    assert take_design(folder, "C:\\Users\\oak\\Bench.toml", b"a = 2") == "Bench 3.toml"
    assert take_design(folder, "../../catalogue.toml", b"a = 3") == "catalogue 2.toml"
    assert take_design(folder, "notes.txt", b"\xef\xbb\xbfa = 4\r\n") == "notes.toml"
    assert read_text(folder, "bench.toml", 1000) == BENCH
    assert read_text(folder, "notes.toml", 1000) == "a = 4\r\n"
    assert open_work(folder, "bench 2.toml").text == "a = 1"


def test_what_is_no_text_or_too_large_is_no_design(folder, refused):
    before = everything(folder)
    assert "UTF-8" in refused(take_design, folder, "photo.toml", b"\x89PNG\xff")
    assert "no text" in refused(take_design, folder, "photo.toml", b"a\0b")
    assert "200 kB" in refused(take_design, folder, "long.toml", b"x" * 200_001)
    assert everything(folder) == before
    assert take_design(folder, "long.toml", b"x" * 200_000) == "long.toml"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(name=ANY_TEXT)
@example("catalogue.toml")
@example("con.toml")
def test_a_design_of_any_name_is_taken_and_lies_in_the_folder(folder, name):
    around = everything(folder.parent)
    taken = take_design(folder, name, b"a = 1")
    now = everything(folder.parent)
    assert set(now) - set(around) == {f"designs/{taken}"}
    assert around.items() <= now.items()
    assert taken in design_names(folder)


@pytest.mark.parametrize(
    "entries",
    [
        FILES,
        [(f"my parts/{name}", data) for name, data in FILES],
        [("my parts/", b""), *((f"my parts/{name}", data) for name, data in FILES)],
        [
            *((f"p/{name}", data) for name, data in FILES),
            ("__MACOSX/p/._strips.csv", b"\0\1"),
            ("__MACOSX/._p", b"\0\1"),
            ("p/.DS_Store", b"\0"),
        ],
        [(made_on_unix(name, stat.S_IFREG | 0o755), data) for name, data in FILES],
    ],
    ids=["flat", "in a folder", "with the folder", "with hidden copies", "with modes"],
)
@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_a_zip_becomes_a_catalogue(folder, entries, method):
    name = take_catalogue_zip(folder, "shop parts.zip", zipped(entries, method), KNOWN)
    assert name == "shop parts"
    assert catalogue_names(folder) == ("shop parts",)
    assert {path.name: path.read_bytes() for path in (folder / name).iterdir()} == dict(FILES)
    assert not (folder / name / "strips.csv").stat().st_mode & 0o111
    again = take_catalogue_zip(folder, "shop parts.zip", zipped(entries), KNOWN)
    assert again == "shop parts 2"


def test_files_become_a_catalogue_and_come_back_as_a_zip(folder):
    name = take_catalogue(folder, "parts", FILES, KNOWN)
    (folder / name / "notes.txt").write_text("not for others")
    packed = zip_of_catalogue(folder, name, KNOWN)
    with zipfile.ZipFile(io.BytesIO(packed)) as back:
        assert back.testzip() is None
        assert {entry: back.read(entry) for entry in back.namelist()} == dict(FILES)
    other = take_catalogue_zip(folder, "back.zip", packed, KNOWN)
    assert everything(folder / other) == dict(FILES)
    assert zip_of_catalogue(folder, other, KNOWN) == packed
    for file, data in FILES:
        (folder / file).write_bytes(data)
    assert zip_of_catalogue(folder, ".", KNOWN) == packed


def test_what_is_no_catalogue_gives_no_zip(folder, refused):
    (folder / "empty").mkdir()
    assert "catalogue.toml" in refused(zip_of_catalogue, folder, "empty", KNOWN)
    refused(zip_of_catalogue, folder, "none", KNOWN)
    refused(zip_of_catalogue, folder, "..", KNOWN)
    take_catalogue(folder, "parts", FILES, KNOWN)
    (folder / "parts" / "strips.csv").write_bytes(b"x" * 2_000_001)
    assert "larger" in refused(zip_of_catalogue, folder, "parts", KNOWN)


ZEROS = bytes(2_000_001)
GOOD = zipped(FILES)
ATTACKS = {
    "no zip": (b"name\nwarm\n", "cannot be read"),
    "nothing": (b"", "cannot be read"),
    "cut short": (GOOD[:-30], "cannot be read"),
    "empty zip": (zipped([]), "has no catalogue.toml"),
    "no catalogue.toml": (zipped(FILES[1:]), "has no catalogue.toml"),
    "bomb": (zipped([*FILES, ("packs.csv", ZEROS)]), "2 MB"),
    "bomb in pieces": (
        zipped([FILES[0], ("strips.csv", bytes(1_100_000)), ("packs.csv", bytes(1_100_000))]),
        "2 MB",
    ),
    "bomb that claims to be small": (
        claiming(zipped([("catalogue.toml", ZEROS)]), 10),
        "cannot be",
    ),
    "claims to be huge": (claiming(GOOD, 0xFFFFFFF0), "2 MB"),
    "claims to be larger": (claiming(GOOD, 1000), "cannot be read"),
    "large as it is": (zipped([("catalogue.toml", ZEROS)], zipfile.ZIP_STORED), "2 MB"),
    "climbs out": (zipped([*FILES, ("../packs.csv", b"x")]), "folders within folders"),
    "climbs out of all": (zipped([(f"../{name}", data) for name, data in FILES]), "folders within"),
    "climbs out further": (zipped([(f"a/../../{n}", d) for n, d in FILES]), "folders within"),
    "from the root": (zipped([(f"/{name}", data) for name, data in FILES]), "folders within"),
    "from the root of a disk": (zipped([(f"C:\\{n}", d) for n, d in FILES]), "is no file of"),
    "climbs out backwards": (zipped([(f"..\\{n}", d) for n, d in FILES]), "is no file of"),
    "in two folders": (zipped([(f"{n[0]}/{n}", d) for n, d in FILES]), "folders within"),
    "in a folder in a folder": (zipped([(f"a/b/{n}", d) for n, d in FILES]), "folders within"),
    "partly in a folder": (zipped([FILES[0], ("a/strips.csv", b"x")]), "folders within"),
    "a file that is not known": (zipped([*FILES, ("run.sh", b"x")]), "is no file of a catalogue"),
    "a name that is cut": (zipped([*FILES, ("packs.csv.exe", b"x")]), "is no file of a catalogue"),
    "a zip in it": (zipped([*FILES, ("parts.zip", GOOD)]), "is no file of a catalogue"),
    "a hidden file": (zipped([*FILES, (".htaccess", b"x")]), "is no file of a catalogue"),
    "a link": (
        zipped([FILES[0], (made_on_unix("strips.csv", stat.S_IFLNK | 0o777), b"/etc/passwd")]),
        "is a link",
    ),
    "a linked folder": (
        zipped([(made_on_unix("a/", stat.S_IFLNK | 0o777), b"/etc"), *FILES]),
        "is a link",
    ),
    "a device": (zipped([FILES[0], (made_on_unix("strips.csv", stat.S_IFCHR), b"")]), "is a link"),
    "encrypted": (flagged(GOOD, 0x1), "encrypted"),
    "strongly encrypted": (flagged(GOOD, 0x41), "encrypted"),
    "packed otherwise": (zipped(FILES, zipfile.ZIP_BZIP2), "unusual way"),
    "packed yet otherwise": (zipped(FILES, zipfile.ZIP_LZMA), "unusual way"),
    "an unknown method": (changed(GOOD, CENTRAL, 10, "<H", 99), "unusual way"),
    "a spoilt file": (GOOD.replace(FILES[1][0].encode(), b"STRIPS.CSV", 1), "cannot be read"),
    "many files": (zipped([(f"{n}.csv", b"") for n in range(21)]), "at most 20"),
    "very many files": (zipped([(f"__MACOSX/{n}", b"") for n in range(5000)]), "at most 20"),
}


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("attack", ATTACKS)
def test_a_zip_that_is_anything_else_is_refused_and_leaves_no_trace(folder, refused, attack):
    data, told = ATTACKS[attack]
    before = everything(folder.parent)
    assert told in refused(take_catalogue_zip, folder, "parts.zip", data, KNOWN)
    assert everything(folder.parent) == before
    assert catalogue_names(folder) == ()
    assert {path.name for path in folder.iterdir()} == {".lightcalc", "bench.toml"}


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_that_comes_twice_is_refused(folder, refused):
    twice = [*FILES, FILES[1]]
    assert "twice" in refused(take_catalogue_zip, folder, "parts.zip", zipped(twice), KNOWN)
    assert "twice" in refused(take_catalogue, folder, "parts", twice, KNOWN)


def test_a_cut_name_is_seen_whole(folder, refused):
    # The library ends a name at its first zero byte; what follows still counts.
    data = zipped([*FILES, ("packs.csvXexe", b"x")]).replace(b"packs.csvXexe", b"packs.csv\0exe")
    assert "is no file of a catalogue" in refused(take_catalogue_zip, folder, "p.zip", data, KNOWN)


def test_unpacking_a_bomb_takes_little_memory(folder, refused):
    import tracemalloc

    bomb = zipped([(name, bytes(150_000_000)) for name in ("catalogue.toml", "strips.csv")])
    assert len(bomb) < 400_000
    tracemalloc.start()
    try:
        assert "2 MB" in refused(take_catalogue_zip, folder, "parts.zip", bomb, KNOWN)
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


def test_files_that_are_too_many_too_large_or_unknown_are_refused(folder, refused):
    before = everything(folder)
    for files, told in (
        ([*FILES, ("../packs.csv", b"x")], "is no file of a catalogue"),
        ([*FILES, ("pack.csv", b"x")], 'did you mean "packs.csv"'),
        ([*FILES, ("packs.csv", ZEROS)], "2 MB"),
        ([(f"{number}.csv", b"") for number in range(21)], "at most 20"),
        (FILES[1:], "has no catalogue.toml"),
    ):
        assert told in refused(take_catalogue, folder, "parts", files, KNOWN)
    assert everything(folder) == before


def test_a_catalogue_comes_whole_or_not_at_all(folder, refused, monkeypatch):
    before = everything(folder)
    write, count = saving_module._write, []

    def fail_at_the_second(path, data):
        count.append(path)
        if len(count) == 2:
            raise OSError(28, "No space left on device")
        write(path, data)

    monkeypatch.setattr(saving_module, "_write", fail_at_the_second)
    assert "disk is full" in refused(take_catalogue, folder, "parts", FILES, KNOWN)
    assert everything(folder) == before
    assert catalogue_names(folder) == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    data=st.one_of(
        st.binary(max_size=60).map(lambda tail: b"PK\x03\x04" + tail),
        st.lists(
            st.tuples(st.integers(0, len(GOOD) - 1), st.integers(0, 255)), min_size=1, max_size=4
        ).map(lambda spots: spoilt(GOOD, spots)),
    )
)
def test_any_bytes_are_refused_or_hold_a_catalogue(folder, data):
    name, told = found_or_told(lambda: take_catalogue_zip(folder, "parts.zip", data, KNOWN))
    event(told[:30] or "taken")
    assert told.isprintable()
    if name:
        assert dict(FILES).keys() >= {path.name for path in (folder / name).iterdir()}


def spoilt(data, spots):
    """Return bytes with some of them changed."""
    changed_bytes = bytearray(data)
    for at, value in spots:
        changed_bytes[at] = value
    return bytes(changed_bytes)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(name=ANY_TEXT, inner=ANY_TEXT)
def test_a_catalogue_of_any_name_is_taken_and_lies_in_the_folder(folder, name, inner):
    around = everything(folder.parent)
    taken = take_catalogue(folder, name, FILES, KNOWN)
    now = everything(folder.parent)
    assert set(now) - set(around) == {f"designs/{taken}/{file}" for file, _ in FILES}
    assert taken in catalogue_names(folder)
    if inner not in KNOWN:
        files = [*FILES, (inner, b"x")]
        _, told = found_or_told(lambda: take_catalogue(folder, name, files, KNOWN))
        assert "is no file of a catalogue" in told
    assert everything(folder.parent) == now


@pytest.mark.parametrize("name", ["bench.toml", "b" * 60 + " long.toml", "bench 2.toml"])
def test_the_version_before_is_put_there_once_until_it_is_changed(folder, name):
    older = f"{BENCH}# as it was\n"
    first = take_before(folder, name, older)
    names = design_names(folder)
    assert take_before(folder, name, older) == first
    assert design_names(folder) == names
    work = open_work(folder, first)
    keep_work(folder, replace(work, text=f"{older}# changed\n"))
    second = take_before(folder, name, older)
    assert second not in names
    assert read_text(folder, second) == older
    # Another version is another design.
    assert take_before(folder, name, BENCH) not in (first, second)
