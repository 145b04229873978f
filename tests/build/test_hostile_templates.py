"""Templates of a unit that reach outside their folder, never end or ask for gigabytes: refused with file and
line, soon and within 300 MB."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from briefgen.build.build import check
from briefgen.build.own_templates import MOST_FILE_BYTES, MOST_FILES, _wrong, check_templates
from briefgen.core.resources import missions_folder
from tests.places import REPOSITORY, TESTS

MOST_YARDS, MOST_MB = 2.0, 300  # a yard: see tests/yardstick.py. Measured: at most 0.4
unix = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="NOT CHECKED: this system has no limits on processes"
)

TWICE = "{% set a %}{{ a }}{{ a }}{% endset %}\n"
# name: (the template, the line that is named, a word of the message)
EITHER = {
    "insides of Python": ("\n{{ ''.__class__.__mro__ }}", 2, "__class__"),
    "insides by a filter": ("{{ x|attr('__class__') }}", 1, "attr"),
    "insides by a format": ("{{ '{0.__class__}'.format(x) }}", 1, "call nothing"),
    "a long loop": ("\n\n{% for i in range(10 ** 9) %}x{% endfor %}", 3, "no sums"),
    "range alone": ("{% for i in range(1000000000) %}x{% endfor %}", 1, "range"),
    "loops in loops": (
        "{% set n = 'xxxxxxxxxxxxxxxxxxxx' %}\n" + "{% for i in n %}" * 12 + "{% endfor %}" * 12,
        2,
        "more than 100000 times",
    ),
    "loops over a list": (
        "{% for i in [1, 2, 3, 4, 5, 6, 7, 8, 9] %}" * 12 + "{% endfor %}" * 12,
        1,
        "more than 100000 times",
    ),
    "a macro that calls itself twice": (
        "{% macro m() %}\n{% if m() %}{% endif %}{% if m() %}{% endif %}{% endmacro %}"
        "{% if m() %}{% endif %}",
        None,
        "",
    ),
    "a text a thousand million times": ("{{ 'x' * 10 ** 9 }}", 1, "no sums"),
    "a number without end": ("{{ 9 ** 9 ** 9 }}", 1, "no sums"),
    "a wide figure": ("{{ '%1000000000d' % 1 }}", 1, "no sums"),
    "a wide text": ("{{ 'x'.ljust(1000000000) }}", 1, "call nothing"),
    "a text doubled sixty times": ("{% set a = 'x' %}\n" + "{% set a = a ~ a %}" * 60 + "{{ a }}", 2, "~"),
    "a list doubled sixty times": (
        "{% set a = 'x' %}\n" + "{% set a = [a, a] %}" * 60 + "{{ a|join }}",
        2,
        "lists",
    ),
    "a mapping of names": ("\n{% set a = {'k': x} %}", 2, "lists"),
    "batches": ("{% for b in [1]|batch(1000000000, 'x') %}{% endfor %}", 1, "batch"),
    "a joined number": ("{{ [1, 2]|join(',') }}", 1, "join"),
    "a list in capitals": ("{{ [[1, 2]]|upper }}", 1, "text"),
    "a letter a million times": (
        "{% set n = 'xxxxxxxxxx' %}" + "{% for i in n %}" * 4 + "y" * 20_000 + "{% endfor %}" * 4,
        1,
        "letters",
    ),
    "too long a file": ("x\n" * 150_000, 1, "kB"),
    "open braces": ("{%" * 60_000, 1, ""),
    "deep brackets": ("{{ " + "(" * 50_000 + " }}", 1, ""),
}
SLIDES = EITHER | {
    "another file": ("\n{% include '../../x' %}", 2, "stands alone"),
    "the machine's file": ("{% extends '/etc/passwd' %}", 1, "stands alone"),
    "an import": ("{% import 'a' as b %}", 1, "stands alone"),
    "a line of tags": ("# T\n" + "{% if no %}a{% endif %}" * 60 + "\n", None, "no number"),
}
PAGES = EITHER | {
    "a folder above": ("\n{% include '../secret.html' %}", 2, "no page template"),
    "the machine's file": ("{% include '/etc/passwd' %}", 1, "no page template"),
    "a folder of another system": ("{% include '..\\\\secret.html' %}", 1, ""),
    "a name with a zero in it": ("{% include 'a\x00b' %}", 1, ""),
    "a name of a hundred thousand letters": ("{% include '" + "x" * 100_000 + "' %}", 1, "no page template"),
    "itself": ("{% include 'own.html' %}", None, ""),
    "itself twice": ("{% include 'own.html' %}{% include 'own.html' %}", None, ""),
    "a text doubled by printing": ("{% set a %}x{% endset %}\n" + TWICE * 60 + "{{ a }}", None, "letters"),
}

CHILD = """
import json, re, resource, sys
from pathlib import Path
resource.setrlimit(resource.RLIMIT_AS, (1500 << 20, 1500 << 20))
from briefgen.brief.slides.pages import Template, View, build_page
from briefgen.render.html.base import render_page
from briefgen.core.resources import fonts_folder
from tests.yardstick import processor_seconds, yards
kind, folder, most = sys.argv[1], Path(sys.argv[2]), float(sys.argv[3])
def rendered(text):
    if kind == "slides":
        return build_page(Template("05-own.md", text), View({"x": "text", "no": False}))
    (folder / "pages" / "own.html").write_text(text, encoding="utf-8")
    return render_page("own.html", {"x": "text", "no": False}, folders=[folder], fonts=fonts_folder())
told = {}
for name, text in json.loads(sys.stdin.read()).items():
    turns = []
    spent = yards(lambda: processor_seconds(lambda: turns.append(rendered(text))), most)
    made, found = turns[-1]
    told[name] = [spent, made is not None, [[d.span.file, d.span.line, d.message[:400]] for d in found]]
peak = int(re.search(r"VmHWM:\\s+([0-9]+) kB", Path("/proc/self/status").read_text())[1]) / 1024
print(json.dumps([told, peak]))
"""


@pytest.fixture(params=["slides", "pages"])
def told(request, python, clean_environment, tmp_path) -> tuple[str, dict, float]:
    """Every template of a kind, rendered in one child with a ceiling on its memory."""
    folder = tmp_path
    (folder / "pages").mkdir()
    rows = {name: row[0] for name, row in (SLIDES if request.param == "slides" else PAGES).items()}
    done = subprocess.run(
        [python, "-c", CHILD, request.param, str(folder), str(MOST_YARDS)],
        input=json.dumps(rows),
        env=clean_environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return (request.param, *json.loads(done.stdout))


@unix
def test_a_template_without_end_or_measure_is_refused_with_its_line_soon_and_within_300_mb(told):
    kind, results, peak = told
    for name, (_, line, word) in (SLIDES if kind == "slides" else PAGES).items():
        spent, made, found = results[name]
        if name == "a line of tags":
            assert spent < MOST_YARDS
            continue
        assert not made and len(found) == 1, (name, found)
        ((file, at, message),) = found
        assert file == ("05-own.md" if kind == "slides" else "pages/own.html"), (name, file)
        assert line in (None, at) and word in message, (name, found)
        assert spent < MOST_YARDS, (name, spent)
    assert peak < MOST_MB


# ---------------------------------------------------------------- the folder


def unit_folder(tmp_path: Path) -> Path:
    own = tmp_path / "own"
    (own / "brief").mkdir(parents=True)
    (tmp_path / "secret.md").write_text("# the secret of 2027\n", encoding="utf-8")
    (tmp_path / "elsewhere").mkdir()
    return own


FOLDERS = {
    "a link to a file outside": (
        lambda own: (own / "brief" / "01-x.md").symlink_to("../../secret.md"),
        "brief/01-x.md is a link",
    ),
    "a link to the machine's file": (
        lambda own: (own / "brief" / "01-x.md").symlink_to("/etc/passwd"),
        "brief/01-x.md is a link",
    ),
    "a link to a device": (
        lambda own: (own / "brief" / "01-x.md").symlink_to("/dev/zero"),
        "brief/01-x.md is a link",
    ),
    "a folder that is a link": (lambda own: (own / "pages").symlink_to("../elsewhere"), "pages is a link"),
    "a folder below that is a link": (
        lambda own: (own / "brief" / "sub").symlink_to("../../elsewhere"),
        "brief/sub is a link",
    ),
    "a link that leads to itself": (
        lambda own: (own / "brief" / "01-x.md").symlink_to("01-x.md"),
        "brief/01-x.md cannot be read",
    ),
    "a link that leads nowhere": (
        lambda own: (own / "brief" / "01-x.md").symlink_to("gone.md"),
        "brief/01-x.md cannot be read",
    ),
    "a pipe": (lambda own: os.mkfifo(own / "brief" / "01-x.md"), "brief/01-x.md is no plain file"),
    "a hundred megabytes": (
        lambda own: os.truncate(os.open(own / "brief" / "01-x.md", os.O_CREAT | os.O_WRONLY), 100 << 20),
        "the most is 4096 kB",
    ),
    "another encoding": (
        lambda own: (own / "brief" / "01-x.md").write_bytes(b"# a\n# caf\xe9\n"),
        "brief/01-x.md is not UTF-8 text",
    ),
    "a name that is no text": (
        lambda own: (own / "brief" / os.fsdecode(b"\xff.md")).symlink_to("/etc/passwd"),
        "\\udcff.md is a link",
    ),
}


@unix
@pytest.mark.parametrize("name", FOLDERS)
def test_what_is_no_plain_file_of_the_folder_is_refused_and_nothing_of_it_is_read(tmp_path, name):
    make, word = FOLDERS[name]
    own = unit_folder(tmp_path)
    make(own)
    (found,) = check_templates(own)
    assert found.severity == "error" and word in found.message and found.span is not None
    found = check(missions_folder() / "regatta.yaml", templates=own)
    assert found.exit_code == 2 and [d.code for d in found.diagnostics if d.severity == "error"] == [
        "template-file"
    ]


@pytest.mark.parametrize(
    "text",
    ['\n#import "@preview/other:1.0.0"\n', '\n#let a = eval("1")\n'],
    ids=["a package", "text as code"],
)
def test_a_card_that_could_fetch_something_is_refused_with_its_line(tmp_path, text):
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "kneeboard.typ").write_text(text, encoding="utf-8")
    (found,) = check_templates(tmp_path)
    assert (
        found.severity == "error"
        and "fetch no packages" in found.message
        and str(found.span).endswith("cards/kneeboard.typ:2:1")
    )


SYNTAX = {
    # a template of the unit                 its text                                   where
    # a word of the message
    "a slide": ("brief/01-title.md", "# A\n\n{% if sortie %}\n", "brief/01-title.md:", "end of template"),
    "a slide of the debrief": ("debrief/01-x.md", "# A\n{{ oops\n", "debrief/01-x.md:", ""),
    "a page": ("pages/review.html", "<p>\n{% for a in %}\n", "pages/review.html:2", ""),
    # the parenthesis is the tenth sign of the line
    "a card": ("cards/kneeboard.typ", "\n#let x = (\n= Title\n", "kneeboard.typ:2:10", "unclosed delimiter"),
    "a card's first line": (
        "cards/kneeboard.typ",
        "#let x = (\n",
        "kneeboard.typ:1:10",
        "unclosed delimiter",
    ),
}


@pytest.mark.parametrize("name", SYNTAX)
def test_a_template_that_can_not_be_read_fails_the_check(tmp_path, name):
    file, text, where, word = SYNTAX[name]
    (tmp_path / file).parent.mkdir()
    (tmp_path / file).write_text(text, encoding="utf-8")
    found = check(missions_folder() / "regatta.yaml", templates=tmp_path)
    (problem,) = [d for d in found.diagnostics if d.severity == "error"]
    assert found.exit_code == 2 and word in problem.message
    assert where in str(problem.span or "")


def test_a_card_that_can_be_read_passes_the_check_whatever_it_needs(tmp_path):
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "kneeboard.typ").write_text(
        '#import "common.typ": *\n#let data = json("data.json")\n= #data.frame.mission // ]\n',
        encoding="utf-8",
    )
    assert check_templates(tmp_path) == []


STYLES = [
    ('p{color:red}\n@import "other.css";', 2),
    ("/* one\n*/@IMPORT url(x.css);", 2),
    ("p{}\n\np{background:url( 'https://unit.example/a.png')}", 3),
    ("p{background:url(a.png)}", 1),
    ("@\\69mport 'a.css';", 1),
    ("p{background:image-set('a.png' 1x)}", 1),
    ("</style><script>", 1),
    ("p{background:url(data:image/png;base64,AA)} /* @import url(a.png) */ q{background:url( 'data:,')}", 0),
]


@pytest.mark.parametrize(("style", "line"), STYLES)
def test_a_style_that_brings_in_another_file_is_refused_with_its_line(tmp_path, style, line):
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "unit.css").write_text(style, encoding="utf-8")
    found = check_templates(tmp_path)
    assert [(problem.span.line, "a page is one file" in problem.message) for problem in found] == (
        [(line, True)] if line else []
    )


def test_a_path_is_printed_as_its_system_writes_it_and_never_with_both_kinds_of_slash():
    found = _wrong(
        PureWindowsPath("C:\\unit\\ours"),
        PureWindowsPath("C:\\unit\\ours\\brief\\01-x.md"),
        "is no plain file",
        "take it out",
    )
    assert found.span.file == "C:\\unit\\ours\\brief\\01-x.md"
    assert (
        str(
            _wrong(
                PurePosixPath("ours"), PurePosixPath("ours/brief/01-x.md"), "is no plain file", "take it out"
            ).span
        )
        == "ours/brief/01-x.md:1:1"
    )


def test_the_programs_own_cards_fetch_nothing():
    assert check_templates(REPOSITORY / "templates") == []


@unix
def test_an_encoding_is_told_with_its_line(tmp_path):
    own = unit_folder(tmp_path)
    FOLDERS["another encoding"][0](own)
    (found,) = check_templates(own)
    assert str(found.span).endswith("01-x.md:2:1")


def test_more_files_than_any_unit_has_are_refused(tmp_path):
    own = unit_folder(tmp_path)
    for number in range(MOST_FILES + 1):
        (own / "brief" / f"{number:04}-x.md").write_bytes(b"")
    (found,) = check_templates(own)
    assert f"more than {MOST_FILES}" in found.message
    assert MOST_FILE_BYTES == 4 * 1024 * 1024


@pytest.mark.parametrize("name", ["brief", "cards", "pages", "debrief"])
def test_one_of_the_four_folders_is_enough_for_every_command(tmp_path, name):
    (tmp_path / name).mkdir()
    assert check_templates(tmp_path) == []


def test_a_folder_with_none_of_them_is_told(tmp_path):
    (found,) = check_templates(tmp_path)
    assert (found.code, found.severity) == ("templates-folder", "error") and "debrief" in found.message


def test_a_link_inside_the_folder_and_a_hidden_file_are_left_alone(tmp_path):
    own = unit_folder(tmp_path)
    (own / "brief" / "01-x.md").write_text("# one 1\n", encoding="utf-8")
    (own / "brief" / "02-x.md").symlink_to("01-x.md")
    (own / "brief" / ".swap").write_bytes(b"\xff")
    assert check_templates(own) == []


def test_the_demonstration_folder_is_clean():
    assert check_templates(TESTS / "data" / "unit-templates") == []
