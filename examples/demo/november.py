# SPDX-License-Identifier: Apache-2.0
"""November of the demo building: what changed in the record, and the registers that were read every quarter of an hour.

A tenant moves out and another one in, a CT is exchanged, daylight saving ends, and the registers do what registers
do: one passes its last count, one is cleared, one trembles, one goes backwards, and a meter is silent for an afternoon.
"""

import copy
import json

from .files import seconds, stamp
from .loads import Noise
from .wiring import Building, Metering

BEGIN, END = "2026-11-01T00:00:00-04:00", "2026-12-01T00:00:00-05:00"
CLOCKS_BACK = "2026-11-01T02:00:00-04:00"
QUARTER_HOUR = 900
MODULUS, MOST_WATTS = 10_000_000, 100_000

MOVED_OUT, MOVED_IN = "2026-11-12T00:00:00-05:00", "2026-11-20T15:20:00-05:00"
EXCHANGED = "2026-11-17T10:20:00-05:00"
OLD_CT, NEW_CT, CHANNEL = "YD-2.A", "YD-2.A-new", "Y1-05"

PASSES_LAST_COUNT = ("H1-04", 4_000)  # joinery, first phase: counts short of the modulus on 9 November
SILENT = ("W3", "2026-11-06T13:00:00-05:00", "2026-11-06T16:00:00-05:00")
CLEARED = ("W2-11", "2026-11-23T09:52:00-05:00")
TREMBLES = ("W1-07", "2026-11-14T03:15:00-05:00")
BACKWARDS = ("W1-15", "2026-11-25T06:30:00-05:00", 5_000)


def record(site):
    """The record with what November added to it; nothing that was written before is changed."""
    new = copy.deepcopy(site)
    studio = new["premises"]["studio-2"]
    studio["occupancy"] = {"dated": [
        {"to": MOVED_OUT, "value": "tenant"},
        {"from": MOVED_OUT, "to": MOVED_IN, "recorded_at": "2026-11-10T09:00:00-05:00", "reason": "lease ended",
         "value": "vacant"},
        {"from": MOVED_IN, "recorded_at": "2026-11-20T16:00:00-05:00", "reason": "lease begins with the key",
         "value": "tenant"}]}
    studio["occupant"] = {"dated": [
        {"to": MOVED_OUT, "value": "account 1022"},
        {"from": MOVED_OUT, "to": MOVED_IN, "recorded_at": "2026-11-10T09:00:00-05:00", "value": "owner"},
        {"from": MOVED_IN, "recorded_at": "2026-11-20T16:00:00-05:00", "value": "account 1052"}]}
    # One CT is one piece: the new one has an id of its own. The meter stays told 60 A, so the channel counts 5/3.
    new["cts"][NEW_CT] = new["cts"][OLD_CT] | {"type": "V100"}
    channel = new["channels"][CHANNEL]
    channel["cts"] = {"dated": [
        {"to": EXCHANGED, "value": {OLD_CT: 1}},
        {"from": EXCHANGED, "recorded_at": "2026-11-17T11:05:00-05:00", "reason": "CT exchanged, 60 A to 100 A",
         "evidence": "E6", "value": {NEW_CT: 1}}]}
    channel["multiplier"] = {"dated": [
        {"to": EXCHANGED, "value": 1},
        {"from": EXCHANGED, "recorded_at": "2026-11-17T11:05:00-05:00",
         "reason": "the meter's ratio is under seal and stays 60 A", "evidence": "E6", "value": "5/3"}]}
    new["evidence"]["E6"] = {
        "at": EXCHANGED, "by": "electrician 2", "what": "inspection",
        "about": [f"ct:{NEW_CT}", f"channel:{CHANNEL}:multiplier"], "note": "rating plate of the new CT read"}
    return new


def tariff():
    """Bins of an invented tariff: workdays from 7 to 21, with the holidays of the month as data."""
    return {"time_of_use": "1", "name": "workdays 7 to 21", "bins": ["on-peak", "off-peak"],
            "holidays": ["2026-11-11", "2026-11-26"],
            "tables": [{"from": "2026-01-01", "to": "2027-01-01", "seasons": [{"days": [
                {"on": ["weekday"], "ranges": [{"from": "07:00", "to": "21:00", "bin": "on-peak"}], "rest": "off-peak"},
                {"on": ["weekend", "holiday"], "rest": "off-peak"}]}]}]}


def walk(site):
    """(start, metered power of each channel, power of each circuit) of every quarter of an hour."""
    building = Building(site)
    begin, end, exchanged = seconds(BEGIN), seconds(END), seconds(EXCHANGED)
    before, after = Metering(site, False, begin), Metering(site, False, end)
    studio = building.loads["R1-12"]
    full = studio.peak
    for at in range(begin, end, QUARTER_HOUR):
        # Nobody works there in between; a refrigerator runs.
        studio.peak = full * (0.04 if seconds(MOVED_OUT) <= at < seconds(MOVED_IN) else 1)
        local = (at - (4 if at < seconds(CLOCKS_BACK) else 5) * 3600) // 60
        weekday, hour = (local // 1440 + 3) % 7, local % 1440 / 60
        volts = building.voltages()
        amps, power = building.currents(volts, weekday, hour)
        new = min(1.0, max(0.0, (at + QUARTER_HOUR - exchanged) / QUARTER_HOUR))
        old = {cid: s.real for cid, _, _, s in before.sees(volts, amps)} if new < 1 else {}
        now = {cid: s.real for cid, _, _, s in after.sees(volts, amps)} if new > 0 else {}
        watts = {cid: old.get(cid, 0) * (1 - new) + now.get(cid, 0) * new for cid in (old or now)}
        yield at, watts, power


def readings(site):
    """(registers as CSV, column map) of the month: cumulative import registers in Wh, read at the end of a quarter."""
    channels = list(site["channels"])
    begin, end = seconds(BEGIN), seconds(END)
    start = {cid: int(Noise("register", cid).between(100_000, 1_000_000)) for cid in channels}
    total = dict.fromkeys(channels, 0.0)
    series = {cid: [start[cid]] for cid in channels}
    for _, watts, _ in walk(site):
        for cid in channels:
            if watts[cid] < 0:
                raise ValueError(f"channel {cid} exports: its register would need a second direction")
            total[cid] += watts[cid] / 4
            series[cid].append(start[cid] + round(total[cid]))
    position = lambda text: (seconds(text) - begin) // QUARTER_HOUR

    cid, short = PASSES_LAST_COUNT
    shift = MODULUS - short - series[cid][position("2026-11-09T09:00:00-05:00")]
    series[cid] = [(v + shift) % MODULUS for v in series[cid]]
    cid, at = TREMBLES
    series[cid][position(at)] = series[cid][position(at) - 1] - 1
    cid, at, by = BACKWARDS
    k = position(at)
    series[cid][k:] = [v - by for v in series[cid][k:]]
    cid, at = CLEARED
    k = position(at) + 1
    last = series[cid][k - 1] + (series[cid][k] - series[cid][k - 1]) // 2
    series[cid][k:] = [v - last for v in series[cid][k:]]

    device, quiet_from, quiet_to = SILENT
    first, until = position(quiet_from) + 1, position(quiet_to)
    rows = ["time," + ",".join(channels)]
    for k in range((end - begin) // QUARTER_HOUR + 1):
        cells = ("" if first <= k < until and cid.split("-")[0] == device else str(series[cid][k]) for cid in channels)
        rows.append(stamp(begin + k * QUARTER_HOUR) + "," + ",".join(cells))
    rule = {"modulus": MODULUS, "max_watts": MOST_WATTS, "jitter": 2, "exchanges": [
        {"channel": cid, "register": "import_p", "at": stamp(seconds(at)), "last": last, "first": 0,
         "reason": "register cleared by mistake when the meter was serviced; reading taken before"}]}
    columns = {"columns": {"time": "start"}, "others": "import_p", "registers": rule}
    return "\n".join(rows) + "\n", json.dumps(columns, indent=1) + "\n"


def truth(site):
    """Watt-hours of each circuit in the month, before and after each move and exchange: what a perfect meter knows."""
    borders = [seconds(t) for t in (BEGIN, MOVED_OUT, EXCHANGED, MOVED_IN, END)]
    total = {}
    for at, _, power in walk(site):
        for circuit, s in power.items():
            parts = total.setdefault(circuit, [0.0] * (len(borders) - 1))
            for i, (low, high) in enumerate(zip(borders, borders[1:])):
                parts[i] += s.real * max(0, min(high, at + QUARTER_HOUR) - max(low, at)) / 3600
    return total
