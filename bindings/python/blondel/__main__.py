"""python -m blondel audit SITE.json [--readings R.csv] [--intervals I.csv --minutes 15 --wh-per-count 1/10]

Prints what was found in plain words, in the order in which panels would be opened. Ends with 0 when nothing
is wrong, 1 when something is, 2 when the audit could not be carried out.
"""

from __future__ import annotations

import argparse
import sys
import textwrap
from datetime import timedelta
from fractions import Fraction

import blondel

from ._place import by_panel

WIDTH = 100


def _say(text, indent=""):
    print(textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent), break_long_words=False))


def _heading(view, panel):
    if not panel:
        return "AT THE DESK: no cover needs to come off for these."
    entity = view.panel[panel]
    parts = [f"PANEL {panel}", entity.name, entity.location]
    return ", ".join(part for part in parts if part)


def _tell(view, findings):
    words = {"error": "WRONG", "warning": "LOOK", "note": "NOTE"}
    for panel, group in by_panel(view, findings):
        print()
        _say(_heading(view, panel))
        for finding in group:
            word = {"undecided": "UNDECIDED", "not_checked": "NOT CHECKED"}.get(finding.verdict, words[finding.severity])
            about = ", ".join(f"{s.kind.replace('_', ' ')} {s.id}" for s in finding.subjects)
            _say(f"{finding.title()} ({about})", f"  {word}: ")
            _say(finding.text(), "    ")
            _say(finding.action(), "    Do: ")


def _tell_live(live):
    for proof, words in (("wrong", "Read as if wired otherwise"), ("undecided", "Undecided"),
                         ("not_proven", "Not proven, for want of load or readings")):
        points = [p.point for p in live.points if p.proof == proof]
        if points:
            _say(f"{len(points)} points: {', '.join(points)}", f"  {words}: ")


def _tell_energy(statement):
    def kwh(counts):
        return f"{float(statement.wh(counts)) / 1000:12.1f} kWh"

    print()
    _say("ENERGY")
    for row in statement:
        if row.kind == "point":
            missing = f"  ({row.missing} of {row.intervals} intervals incomplete)" if row.missing else ""
            print(f"  {row.id:<20} {row.premises:<20} {kwh(row.net)}{missing}")
    for row in statement.reconciliations:
        verdict = {"right": "agrees", "wrong": "does not agree", "undecided": "is doubtful",
                   "not_checked": "cannot be compared"}.get(row.verdict, row.verdict)
        _say(f"{verdict}: {kwh(row.sum_net).strip()} of {kwh(row.main_net).strip()}, {row.difference_percent:+.2f} %, "
             f"tolerance {row.tolerance_percent:g} %", f"  Roll-up {row.rollup} against main {row.main} ")


def audit(options):
    site = blondel.Site.from_file(options.site)
    view = site.view(options.at and blondel.instant(options.at))
    findings = list(blondel.check(view))
    live = statement = None
    if options.readings:
        live = blondel.live_check(view, blondel.Readings.from_file(options.readings))
        findings += live.report
    if options.intervals:
        intervals = blondel.Intervals.from_file(options.intervals, duration=timedelta(minutes=options.minutes),
                                                wh_per_count=options.wh_per_count, stamp=options.stamp)
        statement = blondel.rollup(site, intervals)
        findings += statement.report
    serious = [f for f in findings if f.severity != "note"]
    print(f"{view.record.name or options.site}: {len(serious)} findings to look at, {len(findings) - len(serious)} notes")
    if live:
        _tell_live(live)
    _tell(view, findings if options.notes else serious)
    if statement:
        _tell_energy(statement)
    print()
    _say("Work on live panels is for qualified people under local code and employer rules. A reading of zero does not "
         "prove a conductor dead. These results support, and never replace, licensed practice.")
    return 1 if serious else 0


def main(arguments=None):
    parser = argparse.ArgumentParser(prog="blondel", description="Is a building metered so that every bill is right?")
    parser.add_argument("--version", action="version", version=f"blondel {blondel.__version__}")
    commands = parser.add_subparsers(dest="command", required=True)
    command = commands.add_parser("audit", help="check a record, readings and energy")
    command.add_argument("site", help="site file (JSON)")
    command.add_argument("--at", help="instant (RFC 3339) as of which the record is checked; default: the latest")
    command.add_argument("--readings", help="live readings (CSV)")
    command.add_argument("--intervals", help="energy of channels in intervals (CSV); needs --wh-per-count")
    command.add_argument("--minutes", type=int, default=15, help="length of an interval (default 15)")
    command.add_argument("--wh-per-count", type=Fraction, help="watt-hours of one count, such as 1/10")
    command.add_argument("--stamp", choices=("start", "end"), default="start", help="what the times stand for")
    command.add_argument("--notes", action="store_true", help="tell notes too")
    options = parser.parse_args(arguments)
    if options.intervals and options.wh_per_count is None:
        parser.error("--intervals needs --wh-per-count: the file does not say what a count is worth")
    try:
        return audit(options)
    except blondel.Error as error:
        for item in error.items:
            place = f"line {item.line}, column {item.column}: " if item.line else ""
            print(f"{place}{item.message}", file=sys.stderr)
    except OSError as error:
        print(error, file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
