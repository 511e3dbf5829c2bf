#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Makes the files of the demo site. Python's standard library only; same output everywhere.

    make_demo.py records DIR     site.json, site-november.json, site-mistakes.json, readings.csv, truth.csv,
                                 tariff-november.json into DIR
    make_demo.py intervals DIR   intervals.csv and intervals-mistakes.csv into DIR (1.5 MB each)
    make_demo.py november DIR    registers-november.csv and map-november.json into DIR (1.6 MB)
    make_demo.py check DIR       is what lies in DIR what this program would make? (records only)
"""

import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from demo import files, mistakes, november, record  # noqa: E402


def records():
    site = record.build()
    return {
        "site.json": files.readable(site),
        "site-november.json": files.readable(november.record(site)),
        "tariff-november.json": files.readable(november.tariff()),
        "site-mistakes.json": files.readable(mistakes.spoil(site)),
        "readings.csv": files.readings(site),
        "truth.csv": files.truth(site),
    }


def main(arguments):
    if len(arguments) != 2 or arguments[0] not in ("records", "intervals", "november", "check"):
        print(__doc__.strip(), file=sys.stderr)
        return 2
    verb, folder = arguments[0], pathlib.Path(arguments[1])
    if verb == "check":
        stale = [name for name, text in records().items()
                 if not (folder / name).is_file() or (folder / name).read_text(encoding="utf-8") != text]
        for name in stale:
            print(f"{folder / name} is not what make_demo.py makes; run: make_demo.py records {folder}",
                  file=sys.stderr)
        return 1 if stale else 0
    folder.mkdir(parents=True, exist_ok=True)
    if verb == "records":
        for name, text in records().items():
            (folder / name).write_text(text, encoding="utf-8", newline="\n")
        return 0
    site = record.build()
    if verb == "november":
        registers, columns = november.readings(november.record(site))
        (folder / "registers-november.csv").write_text(registers, encoding="utf-8", newline="\n")
        (folder / "map-november.json").write_text(columns, encoding="utf-8", newline="\n")
        return 0
    for name, one, faults in (("intervals.csv", site, True),
                              ("intervals-mistakes.csv", mistakes.spoil(site), False)):
        with open(folder / name, "w", encoding="utf-8", newline="\n") as out:
            files.intervals(one, faults, out)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
