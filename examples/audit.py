# SPDX-License-Identifier: Apache-2.0
"""The audit in Python: the same library, for those who have many sites.

    python audit.py SITE.json [--readings FILE.csv] [--intervals FILE.csv]

Ends with 0 when nothing is wrong, 1 when something is, 2 when the audit could not be carried out.
"""

import argparse
import datetime
import fractions
import sys

import blondel


def tell(title, report):
    """Prints errors and warnings; how many there are."""
    serious = [finding for finding in report if finding.severity != "note"]
    print(f"{title}: {len(serious)} to look at, {len(report) - len(serious)} notes")
    for finding in serious:
        print(f"  {finding.title()}\n    {finding.text()}\n    {finding.action()}")
    return len(serious)


def main():
    parser = argparse.ArgumentParser(description="Audits the metering of a building.")
    parser.add_argument("site")
    parser.add_argument("--readings")
    parser.add_argument("--intervals")
    given = parser.parse_args()

    site = blondel.Site.from_file(given.site)
    view = site.view()
    wrong = tell("The record", blondel.check(view))
    if given.readings:
        live = blondel.live_check(view, blondel.Readings.from_file(given.readings))
        wrong += tell("The readings", live.report)
        for proof in ("wrong", "not_proven"):
            print(f"  {proof.replace('_', ' ')}: {', '.join(p.point for p in live.points if p.proof == proof) or 'none'}")
    if given.intervals:
        intervals = blondel.Intervals.from_file(given.intervals, duration=datetime.timedelta(minutes=15),
                                                wh_per_count=fractions.Fraction(1, 10))
        statement = blondel.rollup(site, intervals)
        wrong += tell("The energy", statement.report)
        for row in statement:
            if row.kind == "point":
                print(f"  {row.id:<14} {row.premises:<14} {float(statement.wh(row.net)) / 1000:10.1f} kWh")
    return 1 if wrong else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except (blondel.Error, OSError) as error:
        print(error, file=sys.stderr)
        sys.exit(2)
