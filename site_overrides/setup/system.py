"""The programs that the tests need from the operating system: a Chromium, a Firefox, ngspice, nec2c.

    python -m site_overrides.setup.system              finds them, or as root installs them with apt-get
    python -m site_overrides.setup.system --browser    prints where the browser is

The environment variables CHROMIUM and FIREFOX name a browser to use in place of the one found.
"""

import os
import shutil
import subprocess
import sys

SHELL = "chromium-headless-shell"
"""Chromium without its windows, which nobody sees in a test: it takes half the time."""
BROWSERS = (SHELL, "chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
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
    wanted = ([] if browser() else [_browser_package()]) + ([] if second_browser() else ["firefox-esr"])
    return wanted + [name for name in SIMULATORS if not shutil.which(name)]


def _browser_package() -> str:
    """The shell by itself where Debian offers it, else all of Chromium."""
    command = ["apt-cache", "show", SHELL]
    offered = shutil.which("apt-cache") and subprocess.run(command, capture_output=True, check=False).returncode == 0
    return SHELL if offered else "chromium"


def provide() -> None:
    """Installs what is missing, where it may; ends the process with advice where it may not."""
    for variable, found in (("CHROMIUM", browser()), ("FIREFOX", second_browser())):
        named = os.environ.get(variable)
        if named and not found:
            sys.exit(f"{variable} names {named}, which is no program that can be run here.")
    if not missing():
        return
    may_install = os.geteuid() == 0 and shutil.which("apt-get")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    if may_install:
        subprocess.run(["apt-get", "--quiet", "update"], env=environment, check=False)
    packages = missing()
    advice = (
        f"The tests need these programs, not found here: {', '.join(packages)}.\n"
        f"Install them (Debian, Ubuntu: sudo apt-get install {' '.join(packages)}) and run the tests again.\n"
        f"A browser that is not on PATH can be named: make CHROMIUM=/path/to/chrome FIREFOX=/path/to/firefox test"
    )
    if not may_install:
        sys.exit(advice)
    print(f"== Installing {', '.join(packages)} by apt-get", flush=True)
    install = ["apt-get", "--quiet", "install", "--yes", "--no-install-recommends", *packages]
    subprocess.run(install, env=environment, check=False)
    if missing():
        sys.exit(advice)


if __name__ == "__main__":
    if sys.argv[1:] == ["--browser"]:
        print(browser() or sys.exit("no Chromium found"))
    else:
        provide()
