"""The tools behind the Makefile: the server, the search for dead links, the search for programs."""

import urllib.error
import urllib.request

import pytest

from site_overrides.setup import links, system
from site_overrides.setup.serve import serving


@pytest.fixture
def site(tmp_path):
    """A folder with two small pages that are all right."""
    (tmp_path / "part").mkdir()
    (tmp_path / "index.html").write_text(
        '<link rel="stylesheet" href="site.css"><h1 id="top">A</h1><a href="part/#end">B</a>'
        '<a href="#top">up</a><a href="https://example.org/">out</a>'
        '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">'
    )
    (tmp_path / "part" / "index.html").write_text('<p id="end">B</p><a href="..">back</a><a href="/part/">here</a>')
    (tmp_path / "404.html").write_text('<p>Not here.</p><a href="/">front page</a>')
    (tmp_path / "site.css").write_text("p { color: inherit }")
    return tmp_path


def test_a_site_without_faults_has_none(site):
    assert links.faults(site) == []


@pytest.mark.parametrize(
    ("markup", "fault"),
    [
        ('<a href="gone/">x</a>', "gone/: no such file"),
        ('<a href="../site.css#x">x</a><a href="#nowhere">x</a>', "#nowhere: no such place on that page"),
        ('<a href="../#nowhere">x</a>', "../#nowhere: no such place on that page"),
        ('<img src="gone.png">', "gone.png: no such file"),
        ('<img srcset="../site.css 1x, gone.png 2x">', "gone.png: no such file"),
        (
            '<script src="https://example.org/x.js"></script>',
            "loads https://example.org/x.js from outside the site",
        ),
        (
            '<link rel="stylesheet" href="//example.org/x.css">',
            "loads //example.org/x.css from outside the site",
        ),
        ("<style>p { background: url('gone.png') }</style>", "gone.png: no such file"),
        (
            '<p style="background: url(https://example.org/x.png)">',
            "loads https://example.org/x.png from outside the site",
        ),
    ],
)
def test_a_fault_is_found(site, markup, fault):
    page = site / "part" / "index.html"
    page.write_text(page.read_text() + markup)
    assert links.faults(site) == [f"part/index.html: {fault}"]


def test_a_style_sheet_is_searched_too(site):
    (site / "site.css").write_text("@font-face { src: url(gone.woff2) }")
    assert links.faults(site) == ["site.css: gone.woff2: no such file"]


def test_faults_end_the_process_with_one(site, capsys):
    links.main(str(site))
    (site / "part" / "index.html").unlink()
    with pytest.raises(SystemExit) as end:
        links.main(str(site))
    assert end.value.code == 1
    assert "index.html: part/#end: no such file" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("name", "media_type"),
    [
        ("a.wasm", "application/wasm"),
        ("a.mjs", "text/javascript"),
        ("a.js", "text/javascript"),
        ("a.json", "application/json"),
        ("a.whl", "application/zip"),
        ("a.svg", "image/svg+xml"),
        ("a.html", "text/html"),
    ],
)
def test_server_names_the_media_type(site, name, media_type):
    (site / name).write_bytes(b"x")
    with serving(site) as address, urllib.request.urlopen(address + name) as answer:
        assert answer.headers.get_content_type() == media_type
        assert answer.headers["Cache-Control"] == "no-cache"


def test_server_gives_the_sites_own_page_for_what_is_not_there(site):
    with serving(site) as address, pytest.raises(urllib.error.HTTPError) as answer:
        urllib.request.urlopen(address + "gone/")
    with answer.value as page:
        assert page.code == 404
        assert b"Not here." in page.read()


def test_server_is_on_the_loopback_address_alone(site):
    with serving(site) as address:
        assert address.startswith("http://127.0.0.1:")


BROWSERS = [("CHROMIUM", system.browser), ("FIREFOX", system.second_browser)]


@pytest.mark.parametrize(("variable", "find"), BROWSERS)
def test_a_browser_can_be_named(variable, find, tmp_path, monkeypatch):
    program = tmp_path / "a browser"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    monkeypatch.setenv(variable, str(program))
    assert find() == str(program)


@pytest.mark.parametrize("variable", ["CHROMIUM", "FIREFOX"])
def test_a_named_browser_that_is_not_there_stops_with_a_sentence(variable, tmp_path, monkeypatch):
    monkeypatch.setenv(variable, str(tmp_path / "gone"))
    with pytest.raises(SystemExit, match=f"{variable} names .* is no program that can be run here"):
        system.provide()


def test_who_may_not_install_is_told_what_to_install(monkeypatch):
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.delenv("FIREFOX", raising=False)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(SystemExit, match="apt-get install chromium firefox-esr ngspice nec2c"):
        system.provide()
