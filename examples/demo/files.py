# SPDX-License-Identifier: Apache-2.0
"""Files of the demo: readable JSON, readings, intervals, and the truth that only a model knows."""

import datetime
import json

from .loads import Noise
from .record import ZONE_HOURS
from .wiring import Building, Metering

WEEK = "2026-02-02T00:00:00-05:00"  # a Monday
INTERVALS = 7 * 96
QUARTER_HOUR = 900
READ_AT = 96 + 41  # Tuesday 10:15, local time
GAP = ("W3", 2 * 96 + 52, 2 * 96 + 62)  # the second-floor meter was silent on Wednesday 13:00 to 15:30
WATT_HOURS_PER_COUNT = (1, 10)


def seconds(text):
    return int(datetime.datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp())


def stamp(at):
    return datetime.datetime.fromtimestamp(at, datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


def readable(site):
    """One entity a line, as the library writes it."""
    text = lambda value: json.dumps(value, ensure_ascii=False)
    members = []
    for key, value in site.items():
        if isinstance(value, dict):
            rows = ",\n".join(f"    {text(i)}: {text(e)}" for i, e in value.items())
            members.append(f"  {text(key)}: {{\n{rows}\n  }}")
        else:
            members.append(f"  {text(key)}: {text(value)}")
    return "{\n" + ",\n".join(members) + "\n}\n"


def walk(site, faults):
    """(number, start, volts, amps, power, metering) of every interval of the week."""
    building = Building(site)
    begin = seconds(WEEK)
    metering = Metering(site, faults, begin)
    for k in range(INTERVALS):
        at = begin + k * QUARTER_HOUR
        local = (at + ZONE_HOURS * 3600) // 60
        weekday, hour = (local // 1440 + 3) % 7, local % 1440 / 60
        volts = building.voltages()
        amps, power = building.currents(volts, weekday, hour)
        yield k, at, volts, amps, power, metering


def readings(site):
    """Live readings of one instant, with the two wiring faults, rounded as a display would."""
    rows = ["channel,at,volts,amps,watts,vars"]
    for k, at, volts, amps, _, metering in walk(site, True):
        if k == READ_AT:
            for channel, v, i, s in metering.sees(volts, amps):
                rows.append(f"{channel},{stamp(at)},{v:.1f},{i:.2f},{round(s.real)},{round(s.imag)}")
    return "\n".join(rows) + "\n"


def intervals(site, faults, out):
    """Writes the week as the meters counted it: for each channel net P and Q, and the registers of
    import and export, each in counts of 1/10 Wh (varh) within the interval."""
    num, den = WATT_HOURS_PER_COUNT
    per_count = 4 * num / den  # watts that make one count in a quarter of an hour
    rest = {}  # what the last count left over, so that nothing is lost over the week
    out.write("start,channel,net_p,net_q,import_p,export_p\n")
    for k, at, volts, amps, _, metering in walk(site, faults):
        start = stamp(at)
        for channel, _, _, s in metering.sees(volts, amps):
            left_p, left_q = rest.get(channel, (0.0, 0.0))
            p, q = s.real / per_count + left_p, s.imag / per_count + left_q
            count_p, count_q = round(p), round(q)
            rest[channel] = (p - count_p, q - count_q)
            if channel.split("-")[0] == GAP[0] and GAP[1] <= k < GAP[2]:
                continue
            out.write(f"{start},{channel},{count_p},{count_q},{max(count_p, 0)},{max(-count_p, 0)}\n")


def truth(site):
    """Watt-hours that each circuit took in the week: what a perfect meter would have counted."""
    total = {}
    for _, _, _, _, power, _ in walk(site, False):
        for circuit, s in power.items():
            total[circuit] = total.get(circuit, 0.0) + s.real / 4
    rows = [f"{circuit},{total[circuit]:.0f}" for circuit in site["circuits"] if circuit in total]
    return "circuit,watt_hours\n" + "\n".join(rows) + "\n"
