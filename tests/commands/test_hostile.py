"""Files made to do harm, or spoilt by a slip: refused with the line, or shown as the plain text that they
are. Soon, and within 300 MB."""

from __future__ import annotations

import html
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.build.staging import read_manifest
from briefgen.core import resources
from tests.commands.command_line import Copies, run
from tests.mutations import LARGE, SMALL, search, source_of, spoil_text, spoil_tree, text_of

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
SLOW = text_of(next(path for path in SMALL if path.stem == "ok-pass-only"))
# a yard: see tests/yardstick.py. Measured: at most 2.2, and 1.6 for a real plan of 200 obstacles
MOST_YARDS, PLANNED_YARDS, MOST_MB = 6.0, 5.0, 300
unix = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="NOT CHECKED: this system has no limits on processes"
)

# Copies with a ceiling on their memory; each tells its own processor time, in yards measured in the same
# copy, and its peak. To the peak are added those pages of files that a process of its own would have loaded
# and a copy has not looked at.
CHECK = """
import json, re, resource
from pathlib import Path
import briefgen.mission.load, briefgen.plan.build
from briefgen.build.build import check
from tests.yardstick import processor_seconds, yards
def memory(which):
    status = Path("/proc/self/status").read_text()
    return int(re.search(which + r":\\s+([0-9]+) kB", status)[1]) / 1024
files = memory("RssFile")
def ask(path, most):
    resource.setrlimit(resource.RLIMIT_AS, (1500 << 20, 1500 << 20))
    not_looked_at, found = files - memory("RssFile"), []
    spent = yards(lambda: processor_seconds(lambda: found.append(check(Path(path)))), most)
    # not ru_maxrss: that begins with the peak of the process that started this one
    errors = [[d.code, d.span.line if d.span else 0] for d in found[-1].diagnostics if d.severity == "error"]
    print(json.dumps([spent, memory("VmHWM") + not_looked_at, found[-1].planned is not None, errors]))
"""


@pytest.fixture(scope="module")
def checked(
    python, clean_environment
) -> Iterator[Callable[[Path, float], tuple[float, float, bool, list[tuple[str, int]]]]]:
    """Checks a file: the yards of time and the megabytes that it took, whether it was planned, and (code,
    line) of each error."""
    with Copies(python, clean_environment, CHECK) as copies:

        def answer(path: Path, most: float = MOST_YARDS) -> tuple[float, float, bool, list[tuple[str, int]]]:
            copies.begin(str(path), most)
            code, told = copies.end()
            assert code == 0, told
            spent, peak, planned, errors = json.loads(told)
            return spent, peak, planned, [tuple(error) for error in errors]

        yield answer


def after(marker: str, text: str) -> str:
    """The mission with a text put in behind a line's beginning."""
    assert marker in REGATTA
    return REGATTA.replace(marker, marker + text, 1)


def line_of(text: str, marker: str) -> int:
    return text[: text.index(marker)].count("\n") + 1


OBSTACLE = "{name: Mast, position: 38°20.2'S 141°36.9'E, top: 330 ft MSL, source: survey}"
DEEP = after("success:", "\n    - " + "[" * 3000 + "]" * 3000)
MANY = after("obstacles:", "".join(f"\n      - {OBSTACLE}" for _ in range(10_000)))
FEW = after("obstacles:", "".join(f"\n      - {OBSTACLE}" for _ in range(2_000)))
SIZES = {
    # what is wrong                      the file                                       code, line
    "ten thousand obstacles": (MANY.encode(), "file-too-big", 1),  # 900 kB: the size speaks first
    "two thousand obstacles": (FEW.encode(), "too-many", line_of(FEW, OBSTACLE)),
    "three thousand brackets": (DEEP.encode(), "too-deep", line_of(DEEP, "[[[[")),
    "a deep tree of keys": (
        after("contingencies:", "".join(f"\n{'  ' * n}a{n}:" for n in range(1, 400)) + " x").encode(),
        "too-deep",
        None,
    ),
    "a hundred megabytes": (b"a: b\n" * 20_000_000, "file-too-big", 1),
    "one line of 250 kB": (
        after("primary: ", "x" * 200_000).encode(),
        "too-long",
        line_of(REGATTA, "primary: "),
    ),
    "no file at all": (b"", "empty-file", 1),
    "zeros": (b"\0" * 100_000, "encoding", 1),
    "random bytes": (random.Random(1).randbytes(200_000), "encoding", 1),
    "a tower of aliases": (b"a: &a [x,x]\nb: &b [*a,*a]\nc: &c [*b,*b]\nd: &d [*c,*c]\n", "anchor", 1),
    "only opening braces": (b"{" * 100_000, "too-deep", 1),
    "only question marks": (b"? " * 100_000, "too-deep", 1),
    "twenty thousand keys": ("\n".join(f"k{n}: 1" for n in range(20_000)).encode(), "too-many", 1),
}


@unix
@pytest.mark.parametrize("name", SIZES)
def test_what_is_too_much_is_refused_with_its_line_soon_and_within_300_mb(tmp_path, checked, name):
    data, code, line = SIZES[name]
    (tmp_path / "m.yaml").write_bytes(data)
    spent, peak, planned, errors = checked(tmp_path / "m.yaml")
    assert not planned
    assert any(found == code and line in (None, at) for found, at in errors), errors[:5]
    assert spent < MOST_YARDS and peak < MOST_MB


@unix
def test_the_largest_mission_that_is_read_stays_within_300_mb(tmp_path, checked):
    text = after("obstacles:", "".join(f"\n      - {OBSTACLE}" for _ in range(199)))
    (tmp_path / "m.yaml").write_text(text, encoding="utf-8")
    spent, peak, planned, _ = checked(tmp_path / "m.yaml", PLANNED_YARDS)
    assert planned
    assert peak < MOST_MB and spent < PLANNED_YARDS


# ---------------------------------------------------------------- paths

OUTSIDE = [
    "../secret.yaml",
    "/etc/passwd",
    "types/../../secret.yaml",
    "..\\secret.yaml",
    "C:\\secret.yaml",
    "//host/share/x.yaml",
    "types/./../../secret.yaml",
    "~/secret.yaml",
    "types/link.yaml",
]


@pytest.mark.parametrize("reference", OUTSIDE)
def test_an_aircraft_file_outside_the_missions_folder_is_not_read(tmp_path, reference):
    from briefgen.build.build import check

    folder = tmp_path / "missions"
    (folder / "types").mkdir(parents=True)
    (tmp_path / "secret.yaml").write_text("name: Petrel T.2\nfuel_capacity: 5600 lb\n", encoding="utf-8")
    (folder / "types" / "link.yaml").symlink_to(tmp_path / "secret.yaml")
    text = text_of(next(path for path in SMALL if path.stem == "ok-type-file"))
    assert "types/skua.yaml" in text
    (folder / "m.yaml").write_text(text.replace("types/skua.yaml", f"'{reference}'"), encoding="utf-8")
    found = check(folder / "m.yaml")
    assert found.mission is None
    assert any(d.severity == "error" and d.span is not None for d in found.diagnostics)


# ---------------------------------------------------------------- texts that other programs might run

PAYLOADS = {
    "script": "<script>alert(1)</script>",
    "image": "<img src=x onerror=alert(1)>",
    "end of data": "</script><b>x",
    "template": "{{ 7*7 }}{% raw %}",
    "formula": "=1+1+cmd|' /C calc'!A0",
    "formula with at": "@SUM(1+1)",
    "markdown": "[a](http://x.example) **b** # c",
    "card code": '#read("x") $x$ \\ @ref',
    "spreadsheet plus": "+1+1",
}


# the same in files beside the mission and in a pasted report: what each names is one word of its own
OF_FILES = {
    "spots.csv": "id,name,lat,lon,elevation\n"
    "PONTOON,<img src=y onerror=alert(2)>,38°20.8'S,141°36.6'E,10 ft MSL\n",
    "spots.geojson": json.dumps(
        {
            "type": "FeatureCollection",
            "features": [
                {
                    "type": "Feature",
                    "properties": {"id": "HOLD", "name": '#read("y") {{ 7*7 }} =2+5'},
                    "geometry": {"type": "Point", "coordinates": [141.448333333, -38.446666667]},
                }
            ],
        }
    ),
    "masts.csv": "id,name,lat,lon,top\nM1,<b>Mast</b> $y$ *x*,38°21.5'S,141°35.5'E,300 ft MSL\n",
}
PASTED = "TAF YXYZ 292300Z 3000/3024 20014KT 9999 SCT045 <script>alert(3)</script> {{7*7}} $z$"


def with_files(text: str, folder: Path) -> str:
    """The regatta with IP, hold, a mast and a report from elsewhere."""
    for name, content in OF_FILES.items():
        (folder / name).write_text(content, encoding="utf-8")
    for line in ("  HOLD: {", "  PONTOON: {"):
        (typed,) = [whole for whole in text.split("\n") if whole.startswith(line)]
        text = text.replace(f"{typed}\n", "")
    text = text.replace("\nplaces:\n", "\nplaces:\n  files: [spots.csv, spots.geojson]\n")
    text = text.replace("    PONTOON:     {cloud", f"    PONTOON:     {{taf: {json.dumps(PASTED)}, cloud")
    return text + "obstacles: {files: [masts.csv], source: chart, date: 2027-01-20}\n"


@pytest.fixture(scope="module")
def harmless(tmp_path_factory) -> Path:
    """The products of a mission with such a text wherever a person's words stand."""
    from briefgen.build.build import build

    texts = iter(json.dumps(text) for text in PAYLOADS.values())
    places = (
        "Harbour regatta opening",
        "Two-versus-two intercepts, four set-ups",
        "Maj R. Okafor-Lind",
        "Grain terminal",
        "Parade halts",
        "Lost sight of the leader",
        "Harbour tower",
        "Fixation on the time over target",
        "Area control",
    )
    text = REGATTA
    for place, payload in zip(places, texts, strict=True):
        assert place in text
        text = text.replace(place, payload)
    folder = tmp_path_factory.mktemp("harmless")
    (folder / "m.yaml").write_text(with_files(text, folder), encoding="utf-8")
    built = build(folder / "m.yaml", out=folder / "out")
    assert built.checked.planned is not None, [d.message for d in built.checked.diagnostics]
    assert built.written
    return folder / "out"


LIVE = ("<script>alert", "<SCRIPT>ALERT", "<img src=x", "<img src=y", "</script><b>x", "<b>Mast")


def test_the_words_of_files_and_reports_reach_the_products_as_words(harmless):
    """Else nothing that is said here would hold of them: each stands, escaped, on a page or slide."""
    pages = "".join(path.read_text(encoding="utf-8") for path in sorted(harmless.glob("*.html")))
    with zipfile.ZipFile(harmless / "deck.pptx") as deck:
        slides = "".join(
            deck.read(name).decode("utf-8", "replace") for name in deck.namelist() if name.endswith(".xml")
        )
    for medium in (html.unescape(pages), html.unescape(slides)):
        assert "<img src=y onerror=alert(2)>" in medium and "<b>Mast</b> $y$ *x*" in medium
        assert "<SCRIPT>ALERT(3)</SCRIPT>" in medium  # a report is set in capitals


def test_no_page_holds_a_live_element_of_a_persons_words(harmless):
    pages = sorted(harmless.glob("*.html"))
    assert pages
    for path in pages:
        text = path.read_text(encoding="utf-8")
        assert not any(live in text for live in LIVE)
        assert "49" not in text.split("alert(1)")[0][-20:]
        assert "default-src 'none'" in text  # and nothing may be fetched


def test_no_slide_links_out_nor_runs_a_formula(harmless):
    with zipfile.ZipFile(harmless / "deck.pptx") as deck:
        slides = {
            name: deck.read(name).decode("utf-8", "replace")
            for name in deck.namelist()
            if name.endswith((".xml", ".rels"))
        }
        books = [deck.read(name) for name in deck.namelist() if name.endswith(".xlsx")]
    joined = "".join(slides.values())
    assert "alert(1)" in joined  # the words are there, as words
    assert not any('TargetMode="External"' in text for name, text in slides.items() if name.endswith(".rels"))
    assert "<a:hlinkClick" not in joined and "<script>" not in joined
    for book in books:
        with zipfile.ZipFile(__import__("io").BytesIO(book)) as package:
            cells = "".join(
                package.read(name).decode("utf-8", "replace")
                for name in package.namelist()
                if "worksheets/" in name and name.endswith(".xml")
            )
        assert "<f>" not in cells  # no cell holds a formula


def test_the_words_reach_the_cards_as_they_stand_or_the_card_says_why_not(harmless):
    manifest = read_manifest(harmless)
    names = {entry["file"] for entry in manifest["products"]}
    assert "kneeboard-1.pdf" in names or "FAILED-kneeboard-1.txt" in names
    for path in harmless.glob("FAILED-*.txt"):
        assert "a fault in the program" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("payload", PAYLOADS.values(), ids=PAYLOADS)
def test_a_terminal_and_the_plan_as_data_take_the_words_as_words(payload):
    from briefgen.mission.load import load_mission_text

    mission, _ = load_mission_text(REGATTA.replace("Grain terminal", json.dumps(payload)), "m.yaml")
    assert mission.file.event.pass_.obstacles[0].name == payload


# ---------------------------------------------------------------- mutated missions


def test_four_hundred_spoilt_missions_raise_nothing():
    assert search(400, 77_000) == {}


def test_spoiling_does_spoil():
    rng = random.Random(5)
    texts = {spoil_text(text_of(SMALL[0]), rng) for _ in range(50)}
    assert len(texts) > 45
    tree = source_of(LARGE[0]).tree
    assert sum(spoil_tree(tree, rng) != tree for _ in range(50)) > 45


def test_a_fault_would_be_found(monkeypatch):
    import briefgen.plan.build as plan_build

    def broken(mission):
        raise ZeroDivisionError

    monkeypatch.setattr(plan_build, "make_plan", broken)
    found = search(60, 77_000)
    assert [where.split()[0] for where in found] == ["ZeroDivisionError"]


# ---------------------------------------------------------------- a whole build, killed


def whole(folder: Path) -> str | None:
    """The run-in's speed in a folder whose files are just those of its manifest, None without a folder; a
    mixture fails."""
    import hashlib

    if not folder.exists():
        return None
    manifest = read_manifest(folder)
    assert manifest is not None, sorted(path.name for path in folder.iterdir())
    listed = {entry["file"]: entry["sha256"] for entry in manifest["products"]}
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if path.name != "manifest.json"
    }
    assert found == listed
    return json.loads((folder / "plan.json").read_text(encoding="utf-8"))["typed"]["event"]["pass"]["run_in"][
        "speed"
    ]


# A program that builds a mission once, and then again and again in copies of itself; these have its products
# at hand, so that they soon write.
BUILD = """
import os, sys
from briefgen import cli
from briefgen.build import build
def built(out):
    sys.stdout = sys.stderr = open(os.devnull, "w")
    return cli.run(["build", {mission!r}, "--out", out])
kept, make_all, told = [], build._make_all, sys.stdout
build._make_all = lambda *asked: kept.extend(make_all(*asked)) or kept
assert built({elsewhere!r}) in (0, 1)
build._make_all, sys.stdout, ask = lambda *asked: kept, told, built
"""


@pytest.fixture(scope="module")
def older(tmp_path_factory) -> Path:
    """A small mission with a run-in at 300 KGS, and its products."""
    folder = tmp_path_factory.mktemp("older")
    (folder / "m.yaml").write_text(SLOW, encoding="utf-8")
    assert cli.run(["build", str(folder / "m.yaml"), "--out", str(folder / "out")]) in (0, 1)
    assert whole(folder / "out") == "300 KGS"
    return folder


def faster(folder: Path) -> Path:
    """The mission of the older products changed, so that the next build makes others."""
    (folder / "m.yaml").write_text(SLOW.replace("speed: 300 KGS", "speed: 310 KGS"), encoding="utf-8")
    return folder


def runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


# When the kill falls: so many seconds after the start, or after the first thing has been written beside the
# old brief
KILLS = [
    ("started", 0.1),
    ("started", 0.6),
    *(("writing", s) for s in (0.0, 0.001, 0.002, 0.004, 0.008, 0.016, 0.03)),
]


def killed_after(seconds: float, command: list[str], environment: dict[str, str]) -> int:
    """How a build ends that is started and killed."""
    running = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(seconds)
    running.kill()
    return running.wait(timeout=60)


def killed_writing(folder: Path, copies: Copies, seconds: float) -> int:
    """How a build ends that is killed so long after it has begun to write."""
    before, building = folder.stat().st_mtime_ns, copies.begin(str(folder / "out"))
    while folder.stat().st_mtime_ns == before and runs(building):
        time.sleep(0.0005)
    time.sleep(seconds)
    with suppress(ProcessLookupError):
        os.kill(building, signal.SIGKILL)
    return copies.end()[0]


@unix
def test_a_build_killed_at_any_moment_leaves_the_old_brief_or_the_new_one(
    older, tmp_path, tmp_path_factory, python, clean_environment
):
    shutil.copytree(older / "out", faster(tmp_path) / "out")
    script = BUILD.format(
        mission=str(tmp_path / "m.yaml"), elsewhere=str(tmp_path_factory.mktemp("elsewhere") / "out")
    )
    command, seen, killed = (
        [python, "-m", "briefgen", "build", str(tmp_path / "m.yaml"), "--out", str(tmp_path / "out")],
        set(),
        0,
    )
    with Copies(python, clean_environment, script) as copies:
        for since, seconds in KILLS:
            killed += (
                killed_writing(tmp_path, copies, seconds)
                if since == "writing"
                else killed_after(seconds, command, clean_environment)
            ) == -signal.SIGKILL
            seen.add(whole(tmp_path / "out"))
        assert killed >= 4 and "300 KGS" in seen and seen <= {"300 KGS", "310 KGS"}
        copies.begin(str(tmp_path / "out"))
        assert copies.end()[0] in (0, 1, 3)
    assert whole(tmp_path / "out") == "310 KGS"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["m.yaml", "out"]


@unix
@pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0, reason="NOT CHECKED: needs to mount a small disk"
)
def test_a_really_full_disk_is_told_and_leaves_the_older_products_whole(older, tmp_path, capsys):
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", str(disk)],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        pytest.skip("NOT CHECKED: a small disk can't be mounted here")
    try:
        shutil.copytree(older / "out", faster(disk) / "out")
        assert whole(disk / "out") == "300 KGS"
        # half of what the products need
        room = sum(path.stat().st_size for path in (disk / "out").iterdir()) // 2
        free = os.statvfs(disk)
        (disk / "filler").write_bytes(b"x" * (free.f_bavail * free.f_frsize - room))
        code, _, said = run(capsys, "build", str(disk / "m.yaml"), "--out", str(disk / "out"))
        assert code == 3 and "No space left on device" in said and "free some space" in said
        assert whole(disk / "out") == "300 KGS"
    finally:
        subprocess.run(["umount", str(disk)], capture_output=True, check=False)
