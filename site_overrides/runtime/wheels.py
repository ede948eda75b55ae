"""Wheels as plain data: read one, write one, byte for byte the same each time."""

import base64
import hashlib
import io
import zipfile
from pathlib import Path

# The oldest moment a zip file can name. A fixed one makes the same content the same file, whenever built.
EPOCH = (1980, 1, 1, 0, 0, 0)


def sha256(content: bytes) -> str:
    """The digest of `content`, in the hexadecimal form that lock files use."""
    return hashlib.sha256(content).hexdigest()


def read(wheel: bytes) -> dict[str, bytes]:
    """Every file in a wheel, by its name there."""
    with zipfile.ZipFile(io.BytesIO(wheel)) as archive:
        return {name: archive.read(name) for name in archive.namelist() if not name.endswith("/")}


def archive(files: dict[str, bytes]) -> bytes:
    """A zip file of `files`, in their order and packed as tightly as deflate can."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for name, content in files.items():
            _add(packed, name, content)
    return buffer.getvalue()


def write(folder: Path, stem: str, tags: str, files: dict[str, bytes]) -> Path:
    """Writes `files` as a wheel into `folder` and returns its path.

    The wheel's build number is drawn from its content, so changed content is a new name and no browser
    cache can answer with an old file. RECORD is made afresh.

    Args:
        folder: where the wheel goes.
        stem: name and version as they begin the file's name, such as ``numpy-2.4.3``.
        tags: the part after the build number, such as ``py3-none-any``.
        files: content by name; a RECORD among them is replaced.
    """
    record = f"{stem}.dist-info/RECORD"
    names = sorted(name for name in files if name != record)
    lines = [f"{name},{_record_digest(files[name])},{len(files[name])}" for name in names]
    lines.append(f"{record},,")

    content = archive({**{name: files[name] for name in names}, record: ("\n".join(lines) + "\n").encode()})
    path = folder / f"{stem}-1_{sha256(content)[:12]}-{tags}.whl"
    folder.mkdir(parents=True, exist_ok=True)
    partial = path.with_suffix(".part")
    partial.write_bytes(content)
    return partial.replace(path)


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    entry = zipfile.ZipInfo(name, EPOCH)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    archive.writestr(entry, content)


def _record_digest(content: bytes) -> str:
    digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
    return f"sha256={digest}"
