"""A folder of CSV files becomes a catalogue, or every mistake in it is told at once."""

import subprocess
import sys
from pathlib import Path

import pytest

from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.problems import BadInput


def test_the_examples_offer_every_kind_and_variety(examples):
    assert {(strip.rated_v, strip.kind) for strip in examples.strips.values()} >= {
        (5.0, "resistor"),
        (12.0, "resistor"),
        (24.0, "constant-current"),
        (5.0, "pixel"),
    }
    assert {len(strip.channels) for strip in examples.strips.values()} == {1, 2, 3, 4}
    assert {pack.chemistry for pack in examples.packs.values()} == {
        "alkaline",
        "nimh",
        "lithium-ion",
        "lifepo4",
        "lead-acid",
    }
    assert {converter.kind for converter in examples.converters.values()} == {
        "buck",
        "boost",
        "buck-boost",
    }
    assert all(len(getattr(examples, file)) >= 3 for file in KINDS)


def test_cells_become_si(examples):
    strip = examples.strips["strip-12v-rgb-60"]
    assert strip.channels == ("red", "green", "blue")
    assert strip.forward_v == (6.3, 9.3, 9.3)
    assert strip.cut_unit_m == 0.05
    assert strip.channel_pitch_m == strip.pitch_m
    assert strip.dropout_v is None
    assert examples.packs["liion-3s-5200"].capacity_coulomb == pytest.approx(5.2 * 3600)
    assert examples.packs["usb-20000-stays-on"].auto_off_a is None
    assert examples.converters["boost-12v-1a5"].loss_points[0] == (0.05, 0.2)
    assert examples.wires["wire-20awg"].size.name == "20 AWG"
    assert examples.sheets["resin-clear-10"].thicknesses_m == ()


def test_every_part_goes_by_its_own_name(examples):
    for file in KINDS:
        for name, part in getattr(examples, file).items():
            assert part.name == name


@pytest.mark.parametrize(
    ("file", "old", "new", "factor"),
    [
        ("strips", "power (W/m)", "power (W/ft)", 0.3048),
        ("strips", "reel (m)", "Reel ( ft )", 1 / 0.3048),
        ("strips", "cut unit (mm)", "cut unit (in)", 1 / 25.4),
        ("packs", "capacity (Ah)", "capacity (mAh)", 1000.0),
        ("packs", "mass (g)", "mass (lb)", 1 / 453.59237),
        ("wires", "price (per m)", "price (per ft)", 0.3048),
        ("converters", "idle (mA)", "idle (A)", 0.001),
    ],
)
def test_any_unit_of_the_right_quantity_may_head_a_column(spoiled, file, old, new, factor):
    before = getattr(spoiled.read(), file)
    spoiled.reheaded(file, old, new, factor)
    after = getattr(spoiled.read(), file)
    for name, part in before.items():
        for field in part.__dataclass_fields__:
            expected = getattr(part, field)
            if isinstance(expected, float):
                expected = pytest.approx(expected, rel=1e-9)
            assert getattr(after[name], field) == expected


def test_a_temperature_may_be_headed_in_fahrenheit(spoiled):
    headings, rows = spoiled.table("wires")
    place = headings.index("insulation (degC)")
    headings[place] = "insulation (degF)"
    for row in rows:
        row[place] = "176"
    spoiled.write("wires", headings, rows)
    assert {wire.insulation_c for wire in spoiled.read().wires.values()} == {80.0}


def test_a_byte_order_mark_blank_lines_and_notes_do_no_harm(spoiled):
    path = spoiled.folder / "fuses.csv"
    text = path.read_text(encoding="utf-8").replace("blade-5a", "\n# spare\n,,,\nblade-5a")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert "blade-5a" in spoiled.read().fuses


def test_every_mistake_in_every_file_is_told_in_one_go(spoiled):
    spoiled.change("strips", "strip-12v-rgb-60", {"power": "-3", "kind": "resistr"})
    spoiled.change("packs", "usb-10000", {"capacity": "ten"})
    spoiled.change("fuses", "blade-5a", {"rating": ""})
    (spoiled.folder / "sheets.csv").unlink()
    (spoiled.folder / "catalogue.toml").write_text('nam = "x"\ncurrency = "EUR"\n')
    told = spoiled.told()
    assert len(told) == 7
    for part in (
        'strips.csv: row 14, power (W/m): found "-3"',
        'Did you mean "resistor"?',
        'packs.csv: row 16, capacity (Ah): found "ten"',
        "fuses.csv: row 6, rating (A): is empty",
        "sheets.csv: is missing",
        'catalogue.toml: nam: is not a known key; did you mean "name"?',
        "catalogue.toml: name: is missing",
    ):
        assert any(part in sentence for sentence in told), part


def test_row_numbers_count_notes_and_blank_lines(spoiled):
    path = spoiled.folder / "connectors.csv"
    text = path.read_text(encoding="utf-8").replace("plug-usb,2,", "\n# note\nplug-usb,two,")
    path.write_text(text, encoding="utf-8")
    line = next(n for n, row in enumerate(text.splitlines(), 1) if row.startswith("plug-usb"))
    assert spoiled.told() == [
        f'connectors.csv: row {line}, poles: found "two"; write a number, such as 12 or 1.6.'
    ]


def test_a_misnamed_file_is_pointed_at(spoiled):
    (spoiled.folder / "strips.csv").rename(spoiled.folder / "strip.csv")
    assert 'Is "strip.csv" meant to be it?' in spoiled.told()[0]


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(BadInput, match="no folder"):
        read_catalogue(tmp_path / "nowhere")


@pytest.mark.parametrize("text", ["name =", "name = 5", 'name = ""', "\x00", 'name = "a\\u001bb"'])
def test_a_bad_catalogue_toml_is_told(spoiled, text):
    (spoiled.folder / "catalogue.toml").write_text(text)
    told = spoiled.told()
    assert told
    assert all(sentence.startswith("catalogue.toml: ") for sentence in told)
    assert all(sentence.isprintable() for sentence in told)


def test_reading_a_catalogue_imports_nothing_heavy():
    code = (
        "import sys; from pathlib import Path;"
        "from lightcalc.parts.catalogue import read_catalogue;"
        "read_catalogue(Path('catalog_examples'));"
        "print(sorted({'pandas', 'xarray', 'dask', 'difflib', 'plotly'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout.strip() == "[]"


def test_light_may_be_given_for_each_watt(tmp_path):
    from lightcalc.screens.options import examples_folder

    for path in [*examples_folder().glob("*.csv"), examples_folder() / "catalogue.toml"]:
        text = path.read_text(encoding="utf-8")
        # 110 lm/W of 4.8 W/m are 528 lm/m.
        text = text.replace(",0.19,450,", ",0.19,110 lm/W,") if path.name == "strips.csv" else text
        (tmp_path / path.name).write_text(text, encoding="utf-8")
    strip = read_catalogue(tmp_path).strips["strip-12v-60-warm"]
    assert strip.power_w_per_m == 4.8
    assert strip.light_lm_per_m == pytest.approx(528.0)


@pytest.mark.parametrize("size", ["20/2", "2 x 20 AWG"])
def test_a_row_of_wires_is_one_conductor_lest_a_cable_is_paid_for_twice(spoiled, size):
    spoiled.change("wires", "wire-20awg", {"size": size})
    (told,) = spoiled.told()
    assert f'found "{size}", a cable of two conductors' in told
    assert "Write 20 AWG" in told
