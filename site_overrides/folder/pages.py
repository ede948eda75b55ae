"""A page of the site as a page of the folder edition."""

import re

POLICY = (
    "default-src 'none'; script-src 'self' file: 'wasm-unsafe-eval'; worker-src blob:; style-src 'self' file:; "
    "img-src 'self' file: data:; font-src 'self' file:; frame-src 'self' file:; "
    "form-action 'self' file:; base-uri 'none'"
)
"""As the site's, but that a folder's files have no common origin and workers are made from text. Nothing
from outside."""
EDITION_MARK = "bp\N{MIDDLE DOT}edition"
"""Stands for the edition's name until all else is there: the name holds a hash of it."""

_LEFT_OUT = re.compile(
    r'\s*<(?:link rel="(?:manifest|preload|modulepreload)"[^>]*>'
    r'|script src="[^"]*assets/early_start\.js"[^>]*></script>)'
)
_POLICY = re.compile(r'(<meta http-equiv="Content-Security-Policy" content=")[^"]*')
_LINK = re.compile(r'(<(?:a|form|iframe|link)\b[^>]*?\s(?:href|action|src)=")([^"]*)"')
_FOOTER = re.compile(r'<p class="bp-offline"[^>]*></p>')
_THEME = re.compile(r'<script src="([^"]*)assets/javascripts/bundle\.')
_PAGE = re.compile(r'<script src="([^"]*assets/)page\.js" type="module">')


def folder_page(html: str) -> str:
    """The page with links to files, its own policy, classic scripts, and a mark for the edition's name."""
    html = _POLICY.sub(lambda found: found[1] + POLICY, html)
    html = _LEFT_OUT.sub("", html)
    html = _PAGE.sub(r'<script src="\1folder_page.js">', html)
    html = _THEME.sub(r'<script src="\1assets/folder.js"></script>\n      \g<0>', html)
    html = _FOOTER.sub(f'<p class="bp-folder">{EDITION_MARK}</p>', html)
    return _LINK.sub(lambda found: f'{found[1]}{file_address(found[2])}"', html)


def file_address(address: str) -> str:
    """An address within the site with the name of its file: a folder's has `index.html` added."""
    path, mark, rest = re.fullmatch(r"([^?#]*)([?#]?)(.*)", address, re.DOTALL).groups()  # type: ignore[union-attr]
    if not path or re.match(r"[a-z]+:", path):
        return address
    last = path.rsplit("/", 1)[-1]
    if last in {"", ".", ".."}:
        path = path.removesuffix("/") + "/index.html"
    return path + mark + rest
