"""Looks for dead links in a built site, and for anything that its pages would load from elsewhere.

    python -m site_overrides.setup.links FOLDER

Every address that a page or style sheet names within the site must be a file there, and every fragment an
id on its page. What a page loads by itself (scripts, styles, pictures, frames) must lie in the site; an
ordinary link may lead out, and is not followed.
"""

import re
import sys
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

# Stands for the site's own root while addresses are joined. A name under .invalid can be no real host.
ORIGIN = "https://site.invalid/"

STYLE_ADDRESS = re.compile(r"""url\(\s*['"]?([^'")]+)['"]?\s*\)""")

# Attributes whose address a page loads without being asked, and those that a reader may follow.
LOADED = {
    "audio src", "embed src", "iframe src", "image href", "img src", "input src", "object data", "script src",
    "source src", "track src", "use href", "video poster", "video src",
}  # fmt: skip
FOLLOWED = {"a href", "area href", "form action"}
LOADED_RELATIONS = {"apple-touch-icon", "icon", "manifest", "modulepreload", "preload", "stylesheet"}


@dataclass
class Page:
    """What a page names: addresses to load, addresses to follow, and its own ids."""

    loaded: list[str] = field(default_factory=list)
    followed: list[str] = field(default_factory=list)
    ids: set[str] = field(default_factory=set)


class PageReader(HTMLParser):
    """Collects a page's addresses and ids."""

    def __init__(self) -> None:
        super().__init__()
        self.page = Page()
        self._in_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Notes what one tag names."""
        self._in_style = tag == "style"
        named = {name: value for name, value in attrs if value is not None}
        self.page.ids.update(named[name] for name in ("id", "name" if tag == "a" else "id") if name in named)
        for name, value in named.items():
            if tag == "link" and name == "href":
                loaded = LOADED_RELATIONS & set(named.get("rel", "").split())
                (self.page.loaded if loaded else self.page.followed).append(value)
            elif name == "srcset":
                self.page.loaded.extend(part.split()[0] for part in value.split(",") if part.strip())
            elif name == "style":
                self.page.loaded.extend(STYLE_ADDRESS.findall(value))
            elif f"{tag} {name}" in LOADED:
                self.page.loaded.append(value)
            elif f"{tag} {name}" in FOLLOWED:
                self.page.followed.append(value)

    def handle_data(self, data: str) -> None:
        """Notes what a style sheet within the page names."""
        if self._in_style:
            self.page.loaded.extend(STYLE_ADDRESS.findall(data))

    def handle_endtag(self, tag: str) -> None:
        """Leaves a style sheet."""
        self._in_style = False


def read_site(folder: Path) -> dict[str, Page]:
    """The pages and style sheets of the site, by path from its root."""
    pages: dict[str, Page] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.suffix == ".html":
            reader = PageReader()
            reader.feed(path.read_text(encoding="utf-8"))
            pages[name] = reader.page
        elif path.suffix == ".css":
            pages[name] = Page(loaded=STYLE_ADDRESS.findall(path.read_text(encoding="utf-8")))
    return pages


def faults(folder: Path) -> list[str]:
    """One line for each dead link and each thing that would be loaded from outside, page by page."""
    pages = read_site(folder)
    found: list[str] = []
    for name, page in pages.items():
        for address in page.loaded:
            if _is_outside(name, address):
                found.append(f"{name}: loads {address} from outside the site")
        for address in [*page.loaded, *page.followed]:
            fault = None if _is_outside(name, address) else _dead(folder, pages, name, address)
            if fault:
                found.append(f"{name}: {address}: {fault}")
    return found


def _is_outside(page: str, address: str) -> bool:
    scheme = urlsplit(address).scheme
    return scheme not in ("", "data") or address.startswith("//")


def _dead(folder: Path, pages: dict[str, Page], page: str, address: str) -> str | None:
    if address.startswith("data:"):
        return None
    # The page for what is not there is shown at any address, so its own addresses start from the root.
    parts = urlsplit(urljoin(ORIGIN if page == "404.html" else ORIGIN + page, address))
    target = unquote(parts.path).lstrip("/")
    if target.endswith("/") or not target:
        target += "index.html"
    if not (folder / target).is_file():
        return "no such file"
    fragment = unquote(parts.fragment)
    if not fragment or not target.endswith(".html") or fragment in pages[target].ids:
        return None
    return "no such place on that page"


def main(folder: str) -> None:
    """Prints the faults of the site in `folder`; the process ends with 1 if there are any."""
    found = faults(Path(folder))
    for fault in found:
        print(fault)
    pages = read_site(Path(folder))
    links = sum(len(page.loaded) + len(page.followed) for page in pages.values())
    print(f"{len(pages)} pages and style sheets, {links} addresses, {len(found)} faults")
    if found:
        sys.exit(1)


if __name__ == "__main__":
    main(*sys.argv[1:])
