"""Throw coverage-guided bytes at a door for as long as you like; not part of the tests.

    python -m pip install atheris
    python tests/hostile/fuzz.py design --seconds 600

Doors that begin with "changed" turn the bytes into changes of the demo's files by the strategies
of `attacks`; the others take them as they come, from the demo's files on. A case that is no
outcome is written to the folder `--keep` and ends the search; add it to `test_seeds.py`. The
process may use 2 GiB, most of it for what the search itself keeps, and ends when a case works for
more than two seconds (a bench for 10, an answer or a search for 20).
"""

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import atheris

with atheris.instrument_imports(include=["lightcalc", "tomllib", "zipfile", "csv"]):
    import attacks
    import doors
    import legal
    import within_limits

    from lightcalc.folder.zips import zip_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

EXAMPLES = doors.EXAMPLES
WORDS = [*attacks.WORDS, *attacks.VALUES]


def text_of(data):
    return data.decode("utf-8", "replace")


def lines_of(data):
    """Return the words of a command line, one a line; any verb that writes nothing."""
    words = text_of(data).split("\n")[:30]
    return [] if "--out" in words or {"packet", "look", "page"} & set(words) else words


def named(data):
    """Split bytes to a name and what the file of that name holds."""
    name, _, rest = data.partition(b"\n")
    return text_of(name), rest


def a_file(data):
    """Split bytes to one file of a catalogue and what it holds."""
    return doors.FILES[data[0] % len(doors.FILES)] if data else doors.FILES[0], data[1:]


def changed(strategy, door):
    """Return a door that takes bytes as choices of a strategy."""

    @settings(database=None, deadline=None, suppress_health_check=list(HealthCheck))
    @given(strategy)
    def case(drawn):
        door(*drawn)

    return case.hypothesis.fuzz_one_input


def benches(shop):
    """Return designs to measure, their runs and supply, and whether on bare cells."""
    drawn = {name: doors.read_design(EXAMPLES / name) for name in legal.BENCHES}
    bank = doors.read_design(shop.write("bank.toml", legal.BANK))
    return [
        *((drawn[name], *rest) for name, rest in legal.BENCHES.items()),
        (bank, ("edge", "back"), "bank", False),
    ]


def benched(shop):
    """Return what a meter may have shown on one of the benches, to be compared to the end."""
    return st.sampled_from(benches(shop)).flatmap(
        lambda one: st.tuples(
            st.just(one[0][0]),
            st.just(one[0][1]),
            legal.readings(one[1], one[2], straight=one[3]),
        )
    ) | st.tuples(st.just(shop.design), st.just(shop.catalogue), attacks.changed(doors.READINGS))


def answered(found):
    """Answer a design with its catalogue, when the checks let it in."""
    if found is not None:
        with doors.watched(20), doors.numbers_alone():
            doors.sound(doors.answer(*found))


def targets(shop):
    """Return each door by its name, as a function of bytes."""
    read = {name: (EXAMPLES / name).read_text(encoding="utf-8") for name in doors.FILES}
    tables = [name for name in doors.FILES if name.endswith(".csv")]
    table = st.sampled_from(tables).flatmap(
        lambda name: st.tuples(st.just(name), attacks.changed_table(read[name]))
    )
    return {
        "design": lambda data: doors.design(shop, data),
        "readings": lambda data: doors.readings(shop, data),
        "catalogue": lambda data: doors.catalogue(shop, *a_file(data)),
        "quantity": lambda data: doors.quantities(text_of(data)),
        "flags": lambda data: doors.flags(lines_of(data)),
        "upload-design": lambda data: doors.upload_design(shop, *named(data)),
        "upload-zip": lambda data: doors.upload_zip(shop, *named(data)),
        "name": lambda data: doors.name(shop, text_of(data)),
        "changed-design": changed(
            st.tuples(attacks.changed(doors.DEMO)), lambda text: doors.design(shop, text)
        ),
        "changed-readings": changed(
            st.tuples(attacks.changed(doors.READINGS)), lambda text: doors.readings(shop, text)
        ),
        "changed-bank": changed(
            st.tuples(attacks.changed(legal.BANK)), lambda text: doors.design(shop, text)
        ),
        "extreme-bank": changed(st.tuples(legal.extremes.extreme_designs(legal.BANKS)), answered),
        "bench": changed(benched(shop), doors.refitted),
        "find": changed(
            st.tuples(legal.small_searches()), lambda one: one and doors.searched(*one)
        ),
        "changed-table": changed(table, lambda name, text: doors.catalogue(shop, name, text)),
    }


LINES = (
    "wire\n--amps\n3 A\n--length\n2 m\n--volts\n12 V\n--json",
    "hours\n--pack\nliion-3s-5200\n--watts\n12 W\n--packs\n2",
    "hours\n--chemistry\nnimh\n--capacity\n2 Ah\n--volts\n12 V\n--watts\n6 W",
    "dots\n--pitch\n16 mm\n--distance\n25 mm",
    "sheet\n--thickness\n3 mm\n--near\n30 %\n--far\n28 %",
    "catalog\ncolumns\npacks",
    f"catalog\nlist\n{EXAMPLES}",
    f"answer\n{EXAMPLES}/hall-bench.toml\n--json",
)


def first_cases(target):
    """Return what the search begins with."""
    files = {name: (EXAMPLES / name).read_bytes() for name in doors.FILES}
    few = {name: data[:2_000] for name, data in files.items()}
    cases = {
        "design": [path.read_bytes() for path in EXAMPLES.glob("*.toml")],
        "readings": [path.read_bytes() for path in EXAMPLES.glob("*readings.toml")],
        "catalogue": [bytes([number]) + data for number, data in enumerate(files.values())],
        "flags": [line.encode() for line in LINES],
        "upload-zip": [b"parts.zip\n" + zip_of(few), b"parts.zip\n" + zip_of({"a/b": b""})],
        "upload-design": [b"bench.toml\n" + doors.DEMO.encode()],
    }
    return cases.get(target, [word.encode("utf-8", "replace") for word in WORDS])


def dictionary():
    """Return words that a search may put in, in the engine's own way of writing them."""
    lines = []
    for word in WORDS:
        data = word.encode("utf-8", "replace")[:60]
        if data:
            lines.append('"' + "".join(f"\\x{byte:02x}" for byte in data) + '"')
    return "\n".join(lines)


def search(target, seconds, keep, root):
    """Search until the time is over or a case is found; does not come back."""
    for inner in ("shop", "cases"):
        (root / inner).mkdir()
    for number, case in enumerate(first_cases(target)):
        (root / "cases" / str(number)).write_bytes(case)
    (root / "words").write_text(dictionary(), encoding="ascii")
    with doors.opened(root / "shop") as shop:
        within_limits.hold(6 * doors.MOST_MEMORY)  # what the search itself keeps is in it too
        flags = {
            "max_total_time": seconds,
            "rss_limit_mb": 4 * doors.MOST_MEMORY >> 20,
            "max_len": 20_000,
            "print_final_stats": 1,
            "verbosity": 1,
            "dict": root / "words",
            "artifact_prefix": f"{keep}/{target}-",
        }
        line = [f"-{flag}={value}" for flag, value in flags.items()]
        atheris.Setup([sys.argv[0], *line, str(root / "cases")], targets(shop)[target])
        atheris.Fuzz()


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("target")
    asked.add_argument("--seconds", type=int, default=600)
    asked.add_argument("--keep", type=Path, default=Path("fuzz-found"))
    asked.add_argument("--place", type=Path, help=argparse.SUPPRESS)
    words = asked.parse_args()
    if words.place:
        search(words.target, words.seconds, words.keep, words.place)
    words.keep.mkdir(exist_ok=True)
    # The engine ends its process itself, so that another has to tidy up behind it.
    with tempfile.TemporaryDirectory() as place:
        line = [sys.executable, __file__, *sys.argv[1:], "--place", place]
        sys.exit(subprocess.run(line, check=False).returncode)


if __name__ == "__main__":
    main()
