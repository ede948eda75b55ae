"""HTML from Python, escaped."""

import html
import json
from typing import Any


def escape(text: str) -> str:
    """`text` for use in HTML, in attributes too."""
    return html.escape(text, quote=True)


def element(tag: str, attributes: dict[str, str | bool | None], *children: str) -> str:
    """An element; attributes that are None or False are left out, True stands bare. Children are HTML already."""
    written = "".join(
        f" {name}" if value is True else f' {name}="{escape(value)}"'
        for name, value in attributes.items()
        if value is not None and value is not False
    )
    return f"<{tag}{written}>" if tag in {"input", "br"} else f"<{tag}{written}>{''.join(children)}</{tag}>"


def data_block(data: Any, **attributes: str) -> str:
    """`data` as JSON in a block that scripts can read and that is never run."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return element("script", {"type": "application/json", **attributes}, text)
