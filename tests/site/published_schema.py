"""Whether files agree with the site's published schemas, by a general validator."""

import json
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.site.conftest import PROJECT

CHECK = """
import { Validator } from "@cfworker/json-schema";
const { schema, files } = JSON.parse(await new Response(process.stdin).text());
const validator = new Validator(schema, "2020-12");
console.log(JSON.stringify(files.map((file) => validator.validate(file).valid)));
"""


def valid(schema: Path, files: Sequence[Any]) -> list[bool]:
    """Whether each of some files, read as JSON, agrees with the schema at that path."""
    asked = {"schema": json.loads(schema.read_text(encoding="utf-8")), "files": files}
    found = subprocess.run(
        ["node", "--input-type=module", "--eval", CHECK],
        cwd=PROJECT / "site_overrides",
        input=json.dumps(asked),
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    checked: list[bool] = json.loads(found.stdout)
    return checked
