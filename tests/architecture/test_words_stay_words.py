"""Nothing in the package turns words into markup, code, a query or a command, but for what is listed here."""

from __future__ import annotations

import re

import pytest

from tests.architecture.source import PACKAGE

KINDS = (".py", ".html", ".js", ".mjs", ".svg", ".txt")
#: others' code, kept as it came; it is looked at when it is taken in
NOT_OURS = "/vendor/"
FORBIDDEN = {
    "markup": re.compile(
        r"\bmark_safe\b|\|\s*safe\b|\bsafeseq\b|autoescape\s+off|autoescape\s*=\s*False|\bSafeString\(|__html__"
        r"|\b(inner|outer)HTML\b|\binsertAdjacentHTML\b|\bdocument\.write|\bsrcdoc\b|\bDOMParser\b"
        r"|createContextualFragment"
    ),
    "code": re.compile(
        r"(?<![\w.])(eval|exec)\(|new Function\(|\bsetTimeout\(\s*[\"'`]|\bpickle\.(load|dump)"
        r"|\bmarshal\.|yaml\.load\("
    ),
    "a query": re.compile(r"\.objects\.raw\(|\.rows\.raw\(|\bRawSQL\(|\.extra\(\s*(select|where|tables)"),
    "a command": re.compile(r"shell\s*=\s*True|os\.system\(|os\.popen\(|\bgetoutput\("),
    "an entity": re.compile(r"xml\.(etree|sax|dom)|\blxml\b|expat"),
    "a style or handler": re.compile(r"<[a-z][^>{}]*\s(style|on[a-z]+)\s*=\s*[\"']"),
}

#: file: the line that may stand there, and why
ALLOWED = {
    "web/templatetags/slip.py": {
        "from django.utils.safestring import SafeString, mark_safe": "for the line below",
        "return mark_safe(svg)  # noqa: S308  (made here, of escaped words)": "drawings of outputs.svg, "
        "which escapes every word and every attribute",
    },
    "web/static/web/js/door.js": {
        'page = new DOMParser().parseFromString(await answer.text(), "text/html");': "a page of this house, "
        "asked for anew; scripts in it do not run, and the policy of the page stands",
    },
}


def faults(file: str, text: str) -> list[str]:
    """Return the lines of a file that may not stand there."""
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip() in ALLOWED.get(file, {}):
            continue
        found += [
            f"{file}:{number}: {what}: {line.strip()}" for what, one in FORBIDDEN.items() if one.search(line)
        ]
    return found


def test_nothing_makes_words_more_than_words() -> None:
    found = []
    for path in sorted(PACKAGE.rglob("*")):
        file = str(path.relative_to(PACKAGE))
        if path.suffix in KINDS and NOT_OURS not in file and path.is_file():
            found += faults(file, path.read_text(encoding="utf-8"))
    assert found == []


def test_what_is_allowed_is_there() -> None:
    for file, lines in ALLOWED.items():
        there = {line.strip() for line in (PACKAGE / file).read_text(encoding="utf-8").splitlines()}
        assert there >= lines.keys()


@pytest.mark.parametrize(
    "line",
    [
        "return mark_safe(words)",
        "<p>{{ note|safe }}</p>",
        "{% autoescape off %}",
        "one.innerHTML = words;",
        "one.insertAdjacentHTML('beforeend', words)",
        "x = eval(words)",
        "const f = new Function(words);",
        "Look.objects.raw(sql)",
        "subprocess.run(words, shell=True)",
        "os.system(words)",
        "import xml.etree.ElementTree",
        '<a onclick="go()">x</a>',
        '<p style="color: red">x</p>',
    ],
)
def test_planted_a_line_that_does_is_seen(line: str) -> None:
    assert faults("a.html", line)


@pytest.mark.parametrize(
    "line", ["{{ words|safe_name }}", "reader.evaluate(x)", "entry.raw('unit')", "a.exec(b)"]
)
def test_what_only_looks_like_it_is_let_stand(line: str) -> None:
    assert faults("a.html", line) == []
