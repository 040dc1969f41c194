"""Every way by which text from outside comes in, each as a function of that text alone.

A door lets in what a maker, a mail or another computer may bring, and gives one of three outcomes:
an answer, a list of what is wrong, or a refusal for its size. All else is a fault of the product
and goes through as an exception: a traceback, more than two seconds at work, a sign that steers a
terminal, a file written where none should be.
"""

import contextlib
import csv
import dataclasses
import io
import json
import math
import os
import shutil
import signal
import warnings
from pathlib import Path

from click.testing import CliRunner

from lightcalc import units
from lightcalc.answers.answer import answer
from lightcalc.answers.bench.bench import bench
from lightcalc.answers.finder.find import find
from lightcalc.design.read import read_design
from lightcalc.design.read_readings import read_readings, readings_in
from lightcalc.folder.names import check_design_name, check_name, free_name, is_name, tidy_stem
from lightcalc.folder.place import catalogue_path, read_text
from lightcalc.folder.uploads import take_catalogue_zip, take_design
from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.problems import BadInput
from lightcalc.screens.bench_sheet import bench_sheet
from lightcalc.screens.cli import cli
from lightcalc.screens.find_sheet import find_sheet
from lightcalc.screens.json_door import to_json
from lightcalc.screens.sheet import answer_sheet
from lightcalc.units.scales import kinds

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
DEMO = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")
READINGS = (EXAMPLES / "hall-bench-readings.toml").read_text(encoding="utf-8")
FILES = ("catalogue.toml", *(f"{kind}.csv" for kind in KINDS))
SECONDS = 2
MOST_MEMORY = 512 * 1024 * 1024
# A message names what it found, and no more of it than fits a few lines.
LONGEST_SENTENCE = 3_000
MOST_SENTENCES = 600


class TooSlow(BaseException):
    """More than two seconds of work; no handler of the product may catch it."""


@contextlib.contextmanager
def watched(seconds=SECONDS):
    """Stop what works for longer; time in which others have the processor does not count."""

    def stop(_signal, _frame):
        raise TooSlow(f"more than {seconds} s of work")

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


@contextlib.contextmanager
def numbers_alone():
    """Stop at a division by nothing or a number without end, which JSON would show as unknown."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        yield


def on_one_screen(text):
    """Hold that a text has no sign that a terminal would obey."""
    odd = {sign for sign in text if not sign.isprintable() and sign != "\n"}
    assert not odd, f"signs for a terminal: {odd!r}"


def told(bad):
    """Hold that mistakes are sentences that a maker can read."""
    assert 0 < len(bad.problems) <= MOST_SENTENCES
    for problem in bad.problems:
        # The command line drops what a terminal would obey, the page what Markdown would.
        assert problem.sentence
        assert len(problem.sentence) <= LONGEST_SENTENCE, problem.sentence[:300]
        assert problem.sentence.isprintable(), problem.sentence
    return "refused"


def floats_in(value, where=""):
    """Yield every number in a result with its place."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from floats_in(getattr(value, field.name), f"{where}.{field.name}")
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from floats_in(item, f"{where}.{key}")
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            yield from floats_in(item, f"{where}.{number}")
    elif isinstance(value, float):
        yield where, value


def sound(result, sheet=answer_sheet):
    """Hold that a result holds numbers alone, and can be printed both ways."""
    odd = [place for place, value in floats_in(result) if not math.isfinite(value)]
    assert not odd, odd
    json.loads(to_json(result))
    on_one_screen(sheet(result))


@dataclasses.dataclass
class Shop:
    """A folder to play in; `inside` is the one that may be written to."""

    root: Path
    parts: Path
    heads: Path
    inside: Path
    design: object
    catalogue: object

    def write(self, name, data):
        path = self.parts / name
        path.write_bytes(data if isinstance(data, bytes) else data.encode("utf-8", "replace"))
        return path

    def nothing_beside(self):
        """Hold that nothing was written but inside, under names that any computer takes."""
        assert {path.name for path in self.root.iterdir()} == {"parts", "heads", "inside"}
        for folder, inner, files in os.walk(self.inside):
            for name in (*inner, *files):
                assert is_name(name.strip(".")), name
                assert not (Path(folder) / name).is_symlink()

    def empty(self):
        shutil.rmtree(self.inside)
        self.inside.mkdir()


@contextlib.contextmanager
def opened(root):
    """Give a shop in an empty folder."""
    parts, heads, inside = (root / name for name in ("parts", "heads", "inside"))
    for folder in (parts, heads, inside):
        folder.mkdir()
    for name in FILES:
        text = (EXAMPLES / name).read_text(encoding="utf-8")
        first = next(line for line in text.splitlines() if not line.startswith("#"))
        (parts / name).write_text(text, encoding="utf-8")
        (heads / name).write_text(text if name == "catalogue.toml" else first, encoding="utf-8")
    design, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    waiting, os.fsync = os.fsync, lambda _: None
    try:
        yield Shop(root, parts, heads, inside, design, catalogue)
    finally:
        os.fsync = waiting


# The doors ---------------------------------------------------------------------------------


def design(shop, data, *, answered=True):
    """Read a design, which names its own parts, and answer it when it can be."""
    path = shop.write("bench.toml", data)
    with watched():
        try:
            drawn, catalogue = read_design(path)
        except BadInput as bad:
            return told(bad)
    if answered:
        # Work at an answer has its own tests of speed; many runs take longer than reading them.
        with watched(20), numbers_alone():
            sound(answer(drawn, catalogue))
    return "answer"


def readings(shop, data):
    """Read what a meter showed."""
    path = shop.write("readings.toml", data)
    with watched():
        try:
            found = read_readings(path, shop.design, shop.catalogue)
        except BadInput as bad:
            return told(bad)
    assert all(math.isfinite(value) for _, value in floats_in(found))
    return "answer"


def refitted(drawn, catalogue, text):
    """Compare what a meter showed with what was predicted, and say what is wrong."""
    try:
        found = readings_in(text, "readings.toml", drawn, catalogue)
    except BadInput as bad:
        return told(bad)
    with watched(10), numbers_alone():
        result = bench(drawn, catalogue, found)
    sound(result, bench_sheet)
    return result.verdict


def searched(drawn, catalogue, stop=None):
    """Search for what to build, to the end or until told to stop."""
    with watched(20), numbers_alone():
        result = find(drawn, catalogue, stop).search
    sound(result, lambda one: find_sheet(one, 1000))
    return "found" if result.found else "none"


def catalogue(shop, name, data):
    """Read a catalogue in which one file is this, and the others are headings alone."""
    path = shop.heads / name
    before = path.read_bytes()
    path.write_bytes(data if isinstance(data, bytes) else data.encode("utf-8", "replace"))
    try:
        with watched():
            read_catalogue(shop.heads)
        return "answer"
    except BadInput as bad:
        return told(bad)
    finally:
        path.write_bytes(before)


def quantity(text, kind):
    """Read a quantity with its unit."""
    with watched():
        try:
            value = units.read(text, kind)
        except units.UnitProblem as problem:
            on_one_screen(str(problem))
            return "refused"
    assert math.isfinite(value)
    on_one_screen(units.show(value, kind))
    return "answer"


def quantities(text):
    """Read a text as every kind of quantity, and as a size of wire."""
    outcomes = [quantity(text, kind) for kind in kinds()]
    try:
        units.read_wire_size(text)
    except units.UnitProblem as problem:
        on_one_screen(str(problem))
    return outcomes


def flags(words, *, seconds=SECONDS):
    """Run the command line, which writes nothing with these words."""
    with watched(seconds), numbers_alone():
        result = CliRunner().invoke(cli, words)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code in (0, 1, 2), result.exit_code
    assert (result.exit_code == 2) <= bool(result.output)
    on_one_screen(result.output)
    if "--json" in words and result.exit_code != 2:
        json.loads(result.stdout)
    return result


def upload_design(shop, name, data):
    """Take a design from another computer."""
    with watched():
        try:
            kept = take_design(shop.inside, name, data)
        except BadInput as bad:
            return told(bad)
        finally:
            shop.nothing_beside()
    assert check_design_name(kept) == kept
    shop.empty()
    return "answer"


def upload_zip(shop, name, data):
    """Take a catalogue in a zip from another computer."""
    with watched():
        try:
            kept = take_catalogue_zip(shop.inside, name, data, FILES)
        except BadInput as bad:
            return told(bad)
        finally:
            shop.nothing_beside()
    assert {path.name for path in (shop.inside / kept).iterdir()} <= set(FILES)
    shop.empty()
    return "answer"


def name(shop, text):
    """Use a text as the name of a file, a folder of parts, or a design."""
    outcomes = []
    for use in (
        check_name,
        check_design_name,
        lambda one: catalogue_path(shop.inside, one),
        lambda one: read_text(shop.inside, one),
    ):
        try:
            found = use(text)
            outcomes.append("answer")
            if isinstance(found, Path):
                assert found.is_relative_to(shop.inside)
        except BadInput as bad:
            outcomes.append(told(bad))
    tidy = tidy_stem(text, "design")
    assert check_name(tidy) == tidy
    free = free_name(tidy, ".toml", {f"{tidy}.toml", f"{tidy} 2.toml"})
    assert check_design_name(free) == free
    return outcomes


def cells(text):
    """Return every cell of a CSV text."""
    return [cell for row in csv.reader(io.StringIO(text)) for cell in row]
