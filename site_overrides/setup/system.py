"""The programs that the tests need from the operating system: a Chromium, a Firefox, ngspice, nec2c.

    python -m site_overrides.setup.system              finds them, or as root installs them with apt-get
    python -m site_overrides.setup.system --browser    prints where the browser is

The environment variables CHROMIUM and FIREFOX name a browser to use in place of the one found.
"""

import os
import shutil
import subprocess
import sys

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
SECOND_BROWSERS = ("firefox-esr", "firefox")
SIMULATORS = ("ngspice", "nec2c")


def browser() -> str | None:
    """Path of the Chromium to test with: the one that CHROMIUM names, else the first on PATH."""
    return _named_or_found("CHROMIUM", BROWSERS)


def second_browser() -> str | None:
    """Path of the Firefox to test with: the one that FIREFOX names, else the first on PATH."""
    return _named_or_found("FIREFOX", SECOND_BROWSERS)


def _named_or_found(variable: str, names: tuple[str, ...]) -> str | None:
    named = os.environ.get(variable)
    return shutil.which(named) if named else next(filter(None, map(shutil.which, names)), None)


def missing() -> list[str]:
    """Names of the Debian packages that are still to be installed."""
    wanted = ([] if browser() else ["chromium"]) + ([] if second_browser() else ["firefox-esr"])
    return wanted + [name for name in SIMULATORS if not shutil.which(name)]


def provide() -> None:
    """Installs what is missing, where it may; ends the process with advice where it may not."""
    for variable, found in (("CHROMIUM", browser()), ("FIREFOX", second_browser())):
        named = os.environ.get(variable)
        if named and not found:
            sys.exit(f"{variable} names {named}, which is no program that can be run here.")
    packages = missing()
    if not packages:
        return
    advice = (
        f"The tests need these programs, not found here: {', '.join(packages)}.\n"
        f"Install them (Debian, Ubuntu: sudo apt-get install {' '.join(packages)}) and run the tests again.\n"
        f"A browser that is not on PATH can be named: make CHROMIUM=/path/to/chrome FIREFOX=/path/to/firefox test"
    )
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        sys.exit(advice)
    print(f"== Installing {', '.join(packages)} by apt-get", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", "--yes", "--no-install-recommends", *packages]):
        subprocess.run(["apt-get", "--quiet", *command], env=environment, check=False)
    if missing():
        sys.exit(advice)


if __name__ == "__main__":
    if sys.argv[1:] == ["--browser"]:
        print(browser() or sys.exit("no Chromium found"))
    else:
        provide()
