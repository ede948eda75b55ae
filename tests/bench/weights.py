"""What files weigh on the wire."""

import gzip
from pathlib import Path


def weight(path: Path) -> int:
    """Bytes of a file as a server sends it: by gzip, or as it is where that is less."""
    content = path.read_bytes()
    return min(len(content), len(gzip.compress(content, 9, mtime=0)))


def file_of(site: Path, address: str) -> Path:
    """The file that a path of the site stands for."""
    path = site / address
    return path / "index.html" if path.is_dir() else path
