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

QUARTER_HOUR = datetime.timedelta(minutes=15)


def tell(title, report):
    """Prints errors and warnings; how many there are."""
    serious = [finding for finding in report if finding.severity != "note"]
    print(f"{title}: {len(serious)} to look at, {len(report) - len(serious)} notes")
    for finding in serious:
        print(f"  {finding.title()}\n    {finding.text()}\n    {finding.action()}")
    return len(serious)


def share_common(site, view, statement, intervals):
    """The energy of the common parts, divided among the others by floor area; the parts are the whole."""
    common = sum(row.net for row in statement
                 if row.kind == "point" and row.premises and view.premises[row.premises].occupancy == "common")
    end = intervals.first + len(intervals) * QUARTER_HOUR // datetime.timedelta(microseconds=1)
    shared = blondel.apportion(common, "area", site=site, start=intervals.first, end=end)
    print(f"The common parts: {float(statement.wh(common)) / 1000:.1f} kWh, divided by floor area")
    for share in shared:
        if share.part:
            print(f"  {share.id:<29} {float(statement.wh(share.part)) / 1000:10.1f} kWh")


def tell_peaks(site, view, statement, intervals):
    """The highest demand of each main over a quarter of an hour, with the local time at which it began."""
    try:
        zone = blondel.Zone.from_tzdata(view.record.zone)
        zone.check(site)
    except ImportError:
        zone = None  # without the package tzdata times are told in UTC
    for row in statement:
        if row.kind != "point" or view.point[row.id].use != "main":
            continue
        demand = blondel.Demand(statement.series(row), first=intervals.first, duration=QUARTER_HOUR, window=QUARTER_HOUR,
                                wh_per_count=statement.quantum, zone=zone)
        peak = demand.peak()
        if peak is None:
            print(f"Highest demand of {row.id}: no complete quarter of an hour")
            continue
        at = blondel.instant_text(peak.start)
        if zone:
            t = zone.local(peak.start)
            at = f"{t.year}-{t.month:02}-{t.day:02} {t.hour:02}:{t.minute:02} {t.letters}"
        print(f"Highest demand of {row.id}: {peak.value / 1000:.1f} kW at {at}, {peak.left_out} windows incomplete")


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
        intervals = blondel.Intervals.from_file(given.intervals, duration=QUARTER_HOUR,
                                                wh_per_count=fractions.Fraction(1, 10))
        statement = blondel.rollup(site, intervals)
        wrong += tell("The energy", statement.report)
        for row in statement:
            if row.kind == "point":
                print(f"  {row.id:<14} {row.premises:<14} {float(statement.wh(row.net)) / 1000:10.1f} kWh")
        share_common(site, view, statement, intervals)
        tell_peaks(site, view, statement, intervals)
    return 1 if wrong else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except (blondel.Error, OSError) as error:
        print(error, file=sys.stderr)
        sys.exit(2)
