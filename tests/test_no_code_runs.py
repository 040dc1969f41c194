"""No code runs from a catalogue or a design: what the package may call, and what reading them does.

The first test looks at every call in the package; the second reads hostile files with Python's own
audit hooks (PEP 578) listening for imports, compiled code, programs started and sockets.
"""

import ast
import contextlib
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "browser"))

from served import free_port, wait_for

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "catalog_examples"
CALLS = {"eval", "exec", "compile", "__import__", "execfile", "breakpoint"}
MODULES = {
    *("pickle", "marshal", "shelve", "dill", "joblib", "runpy", "code", "codeop", "imp"),
    *("yaml", "ctypes", "pty", "multiprocessing", "xmlrpc", "telnetlib", "ftplib", "smtplib"),
    *("socket", "urllib.request", "http.client", "requests"),
}
METHODS = {"system", "popen", "spawnl", "spawnv", "execv", "execvp", "literal_eval", "read_pickle"}
# Where the package starts a program or imports by name, and that no file says which.
STARTS = {"lightcalc/screens/page_command.py"}
IMPORTS = {"lightcalc/screens/cli.py"}


def risks(source, file):
    """Return every call or import in a source that could run what a file says."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            found += _of_import(node, file)
        elif isinstance(node, ast.Call):
            found += _of_call(node, file)
    return found


def _of_import(node, file):
    if isinstance(node, ast.ImportFrom):
        names = [node.module or "", *(f"{node.module}.{name.name}" for name in node.names)]
    else:
        names = [name.name for name in node.names]
    bad = [name for name in names if MODULES & {name, name.partition(".")[0]}]
    if "subprocess" in names and file not in STARTS:
        bad.append("subprocess")
    if any(name.partition(".")[0] == "importlib" for name in names) and file not in IMPORTS:
        bad.append("importlib")
    return [f"{file}:{node.lineno}: imports {name}" for name in bad]


def _of_call(node, file):
    called = node.func
    name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
    plain = isinstance(called, ast.Name) and name in CALLS
    # Nothing but the absence of shell, or a plain False, is let through.
    shell = any(
        word.arg == "shell" and not (isinstance(word.value, ast.Constant) and not word.value.value)
        for word in node.keywords
    )
    pickled = any(
        word.arg == "allow_pickle" and getattr(word.value, "value", True) is not False
        for word in node.keywords
    )
    if plain or (isinstance(called, ast.Attribute) and name in METHODS) or shell or pickled:
        return [f"{file}:{node.lineno}: calls {name}"]
    return []


def test_nothing_in_the_package_runs_what_a_file_says():
    files = sorted((ROOT / "lightcalc").rglob("*.py"))
    assert len(files) > 100
    found = []
    for path in files:
        file = path.relative_to(ROOT).as_posix()
        found += risks(path.read_text(encoding="utf-8"), file)
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        "eval(text)",
        "exec(text)",
        "import pickle",
        "from pickle import loads",
        "import yaml",
        "from importlib import import_module",
        "import importlib.util as u",
        "import subprocess",
        "os.system(text)",
        "run(text, shell=True)",
        "run(text, shell=flag)",
        "np.load(path, allow_pickle=True)",
        "import urllib.request",
        "from urllib import request",
        "__import__(name)",
    ],
)
def test_what_runs_code_would_be_noticed(source):
    assert risks(source, "lightcalc/answers/new.py")


def test_the_page_starts_its_server_without_a_shell_and_verbs_come_from_a_list():
    starts = (ROOT / "lightcalc/screens/page_command.py").read_text(encoding="utf-8")
    assert starts.count("subprocess.run(") == 1
    assert re.search(r'\[\s*sys\.executable,\s*"-P",', starts)
    verbs = (ROOT / "lightcalc/screens/cli.py").read_text(encoding="utf-8")
    assert verbs.count("import_module(") == 1
    assert "lightcalc.screens.{VERBS[verb]}" in verbs


def test_the_page_runs_no_program_that_lies_beside_the_designs(tmp_path):
    for name in ("streamlit", "numpy", "pandas", "click", "plotly", "tomlkit"):
        (tmp_path / f"{name}.py").write_text(f"open({str(tmp_path / 'RAN')!r}, 'w')\n")
    # As the installed command does, which is no `python -c` with this folder on its path.
    begin = (sys.executable, "-P", "-c", "from lightcalc.screens.cli import main; main()")
    port = free_port()
    page = subprocess.Popen(
        [*begin, "page", "designs", "--no-browser", "--port", str(port)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        wait_for(f"http://localhost:{port}", page)
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(page.pid, 9)
        page.wait()
    assert not (tmp_path / "RAN").exists()


# Read once before anyone listens, so that what the package itself loads late is there.
READ_WHILE_LISTENED_TO = """
import difflib, json, sys
from pathlib import Path
from lightcalc.design.read import read_design
from lightcalc.problems import BadInput
good, *bad = [Path(word) for word in sys.argv[1:]]
read_design(good)
heard, listening = [], True
HOLDS = ("import", "compile", "exec", "os.system", "subprocess.Popen", "os.exec", "os.fork",
    "os.posix_spawn", "socket.connect", "socket.getaddrinfo", "ctypes.dlopen", "marshal.loads",
    "pickle.find_class", "code.__new__")
def hear(event, args):
    if listening and event in HOLDS:
        heard.append([event, str(args[:1])[:80]])
sys.addaudithook(hear)
told = 0
for path in bad:
    try:
        read_design(path)
    except BadInput as found:
        told += len(found.problems)
listening = False
eval("1")
print(json.dumps([heard, told]))
"""
HOSTILE = (
    "__import__('os').system('touch RAN')",
    "!!python/object/apply:os.system ['touch RAN']",
    "$(touch RAN)",
    "`touch RAN`",
    "{0.__class__.__mro__}",
    "=cmd|' /C touch RAN'!A0",
    "lambda: open('RAN', 'w')",
)


def heard_while_reading(folder, *designs):
    done = subprocess.run(
        [sys.executable, "-c", READ_WHILE_LISTENED_TO, *map(str, designs)],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), "PATH": "", "SYSTEMROOT": ""},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_reading_designs_and_catalogues_imports_and_runs_nothing(tmp_path):
    designs = []
    good = (EXAMPLES / "bedside-shelf.toml").read_text(encoding="utf-8")
    for number, words in enumerate(HOSTILE):
        folder = tmp_path / f"parts {number}"
        folder.mkdir()
        for file in EXAMPLES.glob("*.csv"):
            text = file.read_text(encoding="utf-8")
            quoted = words.replace('"', '""')
            (folder / file.name).write_text(text + f'"{quoted}","{quoted}"\n', encoding="utf-8")
        (folder / "catalogue.toml").write_text(f"name = {json.dumps(words)}\ncurrency = 'EUR'\n")
        # A module of the same name beside the files must not be taken for one of the program's.
        for name in ("numpy", "csv", "pint", "tomllib"):
            (folder / f"{name}.py").write_text("open('RAN', 'w')")
        design = tmp_path / f"design {number}.toml"
        named = f"catalogue = {json.dumps(folder.name)}\nunits = {json.dumps(words)}\n"
        lines = [line for line in good.splitlines() if not line.startswith(("units", "format"))]
        body = "\n".join(lines).replace('"aluminium', f'"{words[:5]}aluminium'.replace("\\", ""))
        design.write_text(named + body + f"\n[{json.dumps(words)}]\nx = {json.dumps(words)}\n")
        designs.append(design)
    heard, told = heard_while_reading(tmp_path, EXAMPLES / "bedside-shelf.toml", *designs)
    assert heard == []
    assert told >= 3 * len(HOSTILE)
    assert not list(tmp_path.rglob("RAN"))
