"""Scripts' functions as WebAssembly's: each keeps its place, takes and gives what its signature says, fits a table."""

import json
import subprocess
from typing import Any

from tests.site.conftest import PROJECT

MODULE = (PROJECT / "site_overrides" / "assets" / "adapters.js").as_uri()
BEFORE = f"""
import {{ adapters }} from "{MODULE}";
const signed = (sig, act) => Object.assign(act, {{ sig }});
"""


def said(script: str) -> Any:
    """What a script writes under Node, as JSON."""
    command = ["node", "--input-type=module", "--eval", BEFORE + script]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", check=True)
    return json.loads(done.stdout)


def test_values_become_what_the_signature_says() -> None:
    found = said("""
        const heard = [];
        const listen = (...all) => { heard.push(all.map(String)); return 7.9; };
        const acts = { iip: listen, fd: listen, di: listen, ji: () => 2n ** 40n, ee: (same) => same, v: listen };
        const made = adapters(Object.entries(acts).map(([sig, act]) => signed(sig, (...all) => act(...all))));
        const [whole, single, double, long, any, none] = made;
        const token = {};
        const given = [whole(2.9, -1), single(0.1), double(3), String(long(0)), any(token) === token, none()];
        console.log(JSON.stringify({ heard, given: given.map((value) => value ?? null) }));
    """)
    assert found["heard"] == [["2", "-1"], ["0.1"], ["3"], []]
    assert found["given"] == [7, 7.900000095367432, 7.9, str(2**40), True, None]


def test_hundreds_keep_their_order_and_stand_in_a_table() -> None:
    found = said("""
        const add = (_, index) => signed(index % 2 ? "ii" : "di", (other) => index + other);
        const made = adapters(Array.from({ length: 300 }, add));
        const table = new WebAssembly.Table({ element: "anyfunc", initial: 0 });
        const first = table.grow(made.length);
        made.forEach((adapter, index) => table.set(first + index, adapter));
        console.log(JSON.stringify(made.map((_, index) => table.get(first + index)(1000))));
    """)
    assert found == [1000 + index for index in range(300)]


def test_none_at_all_is_no_fault() -> None:
    assert said("console.log(JSON.stringify(adapters([])))") == []
