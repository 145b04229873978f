"""Pages for a screen: user text is text everywhere, a template's mistake is told with file and line, nothing
is fetched."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import briefgen
from briefgen.core.resources import fonts_folder
from briefgen.render.html.base import css_string, json_for_script, render_page

RENDER = Path(briefgen.__file__).parent / "render"
NASTY = "</script></style><img src=x onerror=alert(1)> \"'&\u2028 {{ 7 * 7 }}"


def rendered(tmp_path: Path, text: str, **values):
    (tmp_path / "pages").mkdir(exist_ok=True)
    (tmp_path / "pages" / "own.html").write_text(text, encoding="utf-8")
    return render_page("own.html", values, folders=[tmp_path], fonts=fonts_folder())


def test_a_string_inside_a_style_can_end_nothing():
    # CSS Syntax 3, 4.3.7: a backslash, the hexadecimal code point, one white space.
    assert css_string('a"}</style>') == '"a\\22 \\7d \\3c \\2f style\\3e "'


@pytest.mark.parametrize("path", sorted(RENDER.rglob("*.css")), ids=lambda path: path.name)
def test_a_style_says_each_rule_once(path):
    """The second saying of a rule undoes what was said between the two for a small screen."""
    rules = [line for line in path.read_text(encoding="utf-8").splitlines() if "{" in line]
    assert [rule for rule in dict.fromkeys(rules) if rules.count(rule) > 1] == []


def test_printed_text_is_escaped_whatever_the_ending(tmp_path):
    page, found = rendered(tmp_path, "<p title='{{ x }}'>{{ x }}</p>", x="<b>\"'&")
    assert found == [] and page == b"<p title='&lt;b&gt;&#34;&#39;&amp;'>&lt;b&gt;&#34;&#39;&amp;</p>\n"


def test_data_for_a_script_can_end_nothing_and_reads_back_the_same():
    data = {"a": NASTY, "b": [1, 2.5, None]}
    text = json_for_script(data)
    assert not set("<>&\u2028\u2029") & set(text) and json.loads(text) == data


def test_what_json_lacks_is_refused():
    with pytest.raises(ValueError):
        json_for_script(float("nan"))


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("a\nb\n{{ missing }}\n", "template-unknown-value", 3),
        ("a\n{{ group.missing }}\n", "template-unknown-value", 2),
        ("a\n\n{% if x %}\n", "template-syntax", 3),
        ("{{ x | safe }}\n", "template-syntax", 1),
        ("\n{{ x | default('-') }}\n", "template-syntax", 2),
        ("\n{{ none }}\n", "template-value", 2),
        ("{{ x }}\n{{ 0.1 }}\n", "template-value", 2),
        ("\n\n{{ empty }}\n", "template-value", 3),
        ("{{ group }}", "template-value", 1),
        ('\n{% include "gone.css" %}', "template-missing", 2),
        ("{{ x.__class__ }}", "template-failed", 1),
        ("\n{% for c in 5 %}{% endfor %}", "template-failed", 2),
    ],
)
def test_a_mistake_is_told_with_file_and_line(tmp_path, text, code, line):
    page, found = rendered(tmp_path, text, x="text", empty=" ", group={"a": "b"}, none=None)
    assert page is None and [(d.code, str(d.span), d.severity) for d in found] == [
        (code, f"pages/own.html:{line}:1", "error")
    ]
    assert found[0].message and found[0].why and found[0].help


def test_a_file_that_is_no_utf_8_is_told(tmp_path):
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "own.html").write_bytes(b"caf\xe9")
    page, found = render_page("own.html", {}, folders=[tmp_path], fonts=fonts_folder())
    assert page is None and [(d.code, d.severity) for d in found] == [("template-encoding", "error")]


def test_a_mistake_in_an_included_file_names_that_file(tmp_path):
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "part.html").write_text("\n\n{{ gone }}", encoding="utf-8")
    page, (found,) = rendered(tmp_path, 'one\n{% include "part.html" %}')
    assert page is None and str(found.span) == "pages/part.html:3:1"


def test_the_fonts_travel_inside(tmp_path):
    page, _ = rendered(tmp_path, "{{ font_faces }}")
    urls = re.findall(r"url\(([^)]{0,30})", page.decode())
    assert len(urls) == 2 and all(url.startswith("data:font/ttf;base64,") for url in urls)
