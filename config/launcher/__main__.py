"""`python -m config.launcher start|test|manage`, called by the script `gaugerod` with the installation's own Python."""

import argparse
import os
import sys

from config.launcher import ROOT
from config.launcher.install import ensure_browser, ensure_pango, install_packages
from config.launcher.words import Trouble, complain, trouble_with_disk

USAGE = """usage: ./gaugerod start [--port PORT] [--bind ADDRESS] [--no-demo]
                        [--lan [--lan-address IP] [--lan-port PORT]]
       ./gaugerod test [pytest's arguments]
       ./gaugerod manage COMMAND [its arguments]

start    runs the whole shop on this machine; the first time, it installs what it needs and loads a demo shop;
         with --lan, phones on this machine's network get to it by HTTPS
test     installs what the tests need and runs them
manage   runs a command, such as: layout FILE, takeoff FILE, survey FILE, clear_demo, changepassword NAME
"""


def main(argv: list[str]) -> int:
    """Returns the exit code; says in one line what a person has to put right."""
    command, arguments = (argv[0], argv[1:]) if argv else ("help", [])
    try:
        if command == "start":
            return _start(arguments)
        if command == "test":
            return _test(arguments)
        if command == "manage":
            return _manage(arguments)
    except Trouble as trouble:
        complain(str(trouble))
        return 1
    except OSError as error:
        complain(str(trouble_with_disk(error, ROOT)))
        return 1
    except KeyboardInterrupt:
        return 130
    print(USAGE, end="")
    return 0 if command in ("help", "--help", "-h") else 2


def _start(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="./gaugerod start")
    parser.add_argument("--port", type=int, default=8000, help="where the pages are served (8000)")
    parser.add_argument(
        "--bind", default="127.0.0.1", help="the address to serve on (127.0.0.1: this machine only; 0.0.0.0: every one)"
    )
    parser.add_argument("--no-demo", action="store_true", help="begin with an empty shop and one owner")
    parser.add_argument("--lan", action="store_true", help="serve phones on this network, too, by HTTPS")
    parser.add_argument("--lan-address", metavar="IP", help="this machine's address, where it has several")
    parser.add_argument("--lan-port", type=int, default=8443, help="where phones are served (8443), and the next one")
    options = parser.parse_args(arguments)
    if not (1 <= options.port <= 65535 and 1 <= options.lan_port < 65535):
        parser.error("a port is a number from 1 to 65535 (--lan-port: to 65534)")
    if options.lan_address and not options.lan:
        parser.error("--lan-address goes with --lan")
    install_packages("requirements.lock")
    ensure_pango()
    from config.launcher.start import LanOptions, start

    lan = LanOptions(options.lan_address, options.lan_port) if options.lan else None
    return start(port=options.port, bind=options.bind, demo=not options.no_demo, lan=lan)


def _test(arguments: list[str]) -> int:
    """Installs what the tests need and becomes pytest; without arguments on every core, a file to one process, in the
    order of tests/conftest.py. One process more than there are cores: one of them always waits for something."""
    install_packages("requirements-dev.lock")
    ensure_pango()
    ensure_browser()
    os.chdir(ROOT)
    processes = str(len(os.sched_getaffinity(0)) + 1)
    every_core = ["--numprocesses", processes, "--dist", "loadfile", "--no-loadscope-reorder"]
    arguments = arguments or [*every_core, "--durations", "40"]
    os.execv(sys.executable, [sys.executable, "-m", "pytest", *arguments])  # noqa: S606 -- a shell has no part in it


def _manage(arguments: list[str]) -> int:
    install_packages("requirements.lock")
    from config.launcher.manage import manage

    return manage(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
