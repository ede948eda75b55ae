"""The MkDocs hook: hands MkDocs' events to the modules that make our pages. All that can do without MkDocs is there."""

import json
import sys
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

PROJECT = Path(__file__).resolve().parent.parent
if str(PROJECT) not in sys.path:
    sys.path.insert(0, str(PROJECT))

from site_overrides.pages.book import Book  # noqa: E402 - the path comes first
from site_overrides.pages.directives import Directives  # noqa: E402
from site_overrides.pages.files import RuntimeMissing, ScriptError, site_files  # noqa: E402
from site_overrides.pages.look import ADDRESS, joined  # noqa: E402
from site_overrides.pages.maths import Maths  # noqa: E402
from site_overrides.pages.node import DrawingError  # noqa: E402
from site_overrides.pages.offline import finish  # noqa: E402
from site_overrides.pages.schema import schemas  # noqa: E402
from site_overrides.pages.search import make_patient  # noqa: E402
from site_overrides.pages.tables import Tables  # noqa: E402
from site_overrides.pages.terms import glossary_terms, with_terms  # noqa: E402
from site_overrides.pages.trust import CSV, Trust, TrustMissing  # noqa: E402

BOOK = Book()


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Adds our Markdown and the forms' pages to the configuration."""
    BOOK.clear()
    try:
        BOOK.trust = Trust(PROJECT)
    except TrustMissing as missing:
        raise PluginError(str(missing)) from None
    config.markdown_extensions += [Directives(BOOK), Maths(), Tables()]  # type: ignore[list-item]
    for entry in config.nav or []:
        if isinstance(entry, dict) and "Forms" in entry:
            entry["Forms"] = list(BOOK.form_pages())
    config.watch += [str(PROJECT / "calc"), *(str(PROJECT / "site_overrides" / name) for name in ("assets", "look"))]
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Adds the forms' pages, our assets and the browser's Python."""
    for name, text in BOOK.form_pages().items():
        files.append(File.generated(config, name, content=text))
    for name, schema in schemas().items():
        files.append(File.generated(config, name, content=json.dumps(schema, ensure_ascii=False, indent=1)))
    files.append(File.generated(config, ADDRESS, content=joined(PROJECT)))
    for table in BOOK.tables.values():
        files.append(File.generated(config, table.address, content=table.csv()))
    if BOOK.trust is not None:
        files.append(File.generated(config, CSV, content=BOOK.trust.csv()))
    try:
        for address, path in site_files(PROJECT).items():
            files.append(File.generated(config, address, abs_src_path=str(path)))
    except (RuntimeMissing, ScriptError) as error:
        raise PluginError(str(error)) from None
    return files


def on_page_markdown(markdown: str, page: Any, **_others: Any) -> str:
    """Hands the page's named presets to its directives, ahead of its Markdown."""
    BOOK.use_sets(page.meta.get("sets"))
    return markdown


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """Leads from the words of a chapter to the glossary."""
    glossary = files.get_file_from_path("glossary.md")
    if glossary is None or not page.file.src_uri.startswith("chapters/"):
        return html
    return with_terms(html, glossary_terms(glossary.content_string), get_relative_url(glossary.url, page.url))


def on_env(env: Any, config: MkDocsConfig, files: Files) -> Any:
    """Puts what calculations made into the pages, when all pages have said what they want."""
    try:
        BOOK.draw()
    except DrawingError as error:
        raise PluginError(str(error)) from None
    for file in files.documentation_pages():
        if file.page is not None and file.page.content is not None:
            file.page.content = BOOK.fill(file.page.content, get_relative_url(".", file.page.url))
    return env


@event_priority(-100)  # after the search has written its index
def on_post_build(config: MkDocsConfig) -> None:
    """Lists all files for the service worker, and refuses a site whose published checks do not hold."""
    make_patient(Path(config.site_dir))
    finish(Path(config.site_dir))
    if BOOK.trust is not None and BOOK.trust.failed:
        raise PluginError(f"Published checks fail, see the page trust/: {', '.join(BOOK.trust.failed)}")
