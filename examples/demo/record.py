# SPDX-License-Identifier: Apache-2.0
"""The record of the demo site, from short tables.

Harbour Mill is an invented building with invented meters: shops and flats on a 120/208 V wye,
workshops on a 120/240 V high-leg delta, a yard on 120/240 V single phase.

The record says what was meant, hung and configured. What nobody knows yet (two wiring faults)
is in wiring.py and shows only in readings and energy.
"""

ZONE_HOURS = -5  # local time of the demo, all year: the load model has no daylight saving

# id, kind, volts_ln, volts_ll, name
SERVICES = [
    ("wye", "four_wire_wye", 120, 208, "Main building, 120/208 V four-wire wye"),
    ("high-leg", "high_leg_delta", 120, 240, "Workshops, 120/240 V high-leg delta"),
    ("yard", "single_phase_three_wire", 120, 240, "Yard, 120/240 V single phase"),
]

# id, name, location, service, fed_from, spaces, bus
PANELS = [
    ("MSB", "Main switchboard", "Basement, switch room", "wye", "MAIN-W", 30, "ABC"),
    ("R1", "Riser panel", "First floor, riser cupboard", "wye", "MAIN-W", 18, "ABC"),
    ("R2", "Riser panel", "Second floor, riser cupboard", "wye", "MAIN-W", 18, "BCA"),
    ("WS", "Workshop panel", "Workshop, north wall", "high-leg", "MAIN-H", 18, "ABC"),
    ("YD", "Yard panel", "Gatehouse", "yard", "MAIN-Y", 10, "AB"),
]

# id, name, spaces (or phases of a main), breaker amps, neutral, role, load,
# shape, peak kW and power factor of the load model (see loads.py)
CIRCUITS = [
    ("MAIN-W", "Main of the building", "ABC", 400, True, "main", "mixed", None, 0, 1),
    ("MSB-1", "Bakery", [1, 3, 5], 100, True, "premises", "mixed", "bakery", 21.0, 0.96),
    ("MSB-2", "Cafe", [2, 4, 6], 100, True, "premises", "mixed", "cafe", 13.5, 0.95),
    ("MSB-7", "Chandlery", [7, 9, 11], 60, True, "premises", "mixed", "shop", 6.2, 0.97),
    ("MSB-8", "Lift", [8, 10, 12], 40, False, "common", "motor", "lift", 4.0, 0.78),
    ("MSB-13", "Heating pumps", [13, 15, 17], 30, False, "common", "motor", "pumps", 2.4, 0.86),
    ("MSB-14", "Laundry water heater", [14, 16], 30, False, "common", "resistive", "hot_water", 4.5, 1.0),
    ("MSB-18", "Meter supply", [18], 15, True, "meter_supply", "electronic", "constant", 0.05, 0.90),
    ("MSB-19", "Spare", [19], 20, True, "spare", None, None, 0, 1),
    ("MAIN-H", "Main of the workshops", "ABC", 200, True, "main", "mixed", None, 0, 1),
    ("MAIN-Y", "Main of the yard", "AB", 100, True, "main", "mixed", None, 0, 1),
    ("R1-1", "Flat 1", [1, 3], 60, True, "premises", "mixed", "flat", 2.2, 0.96),
    ("R1-2", "Flat 2", [2, 4], 60, True, "premises", "mixed", "flat", 1.9, 0.97),
    ("R1-5", "Flat 3", [5, 7], 60, True, "premises", "mixed", "flat", 2.6, 0.96),
    ("R1-6", "Flat 4", [6, 8], 60, True, "premises", "mixed", "flat", 1.7, 0.97),
    ("R1-9", "Corridor lights, all floors", [9], 20, True, "common", "electronic", "night_light", 1.1, 0.94),
    ("R1-10", "Studio 1", [10], 20, True, "premises", "electronic", "office", 1.5, 0.95),
    ("R1-12", "Studio 2", [12], 20, True, "premises", "electronic", "office", 1.2, 0.95),
    ("R1-13", "Flat 1 water heater", [13, 15], 30, False, "premises", "resistive", "hot_water", 2.4, 1.0),
    ("R2-1", "Flat 5", [1, 3], 60, True, "premises", "mixed", "flat", 2.1, 0.96),
    ("R2-2", "Flat 6", [2, 4], 60, True, "premises", "mixed", "flat", 2.4, 0.96),
    ("R2-5", "Flat 7", [5, 7], 60, True, "premises", "mixed", "flat", 2.9, 0.97),
    ("R2-6", "Flat 8", [6, 8], 60, True, "premises", "mixed", "flat", 1.8, 0.96),
    ("R2-9", "Studio 3", [9], 20, True, "premises", "electronic", "office", 1.6, 0.95),
    ("R2-10", "Studio 4", [10], 20, True, "premises", "electronic", "office", 0.7, 0.95),
    ("R2-11", "Storeroom", [11], 20, True, "premises", "mixed", "cold_store", 0.8, 0.88),
    ("WS-1", "Joinery", [1, 3, 5], 100, True, "premises", "mixed", "workshop", 14.0, 0.84),
    ("WS-2", "Forge", [2, 4, 6], 60, False, "premises", "motor", "workshop", 9.0, 0.82),
    ("WS-7", "Bench 1", [7], 20, True, "premises", "electronic", "office", 1.1, 0.95),
    ("WS-8", "Dust extractor", [8, 10], 30, False, "common", "motor", "workshop", 3.0, 0.85),
    ("WS-11", "Kiln", [11, 13], 60, False, "premises", "resistive", "kiln", 9.5, 1.0),
    ("WS-12", "Bench 2", [12], 20, True, "premises", "electronic", "office", 0.9, 0.95),
    ("YD-1", "Boat store", [1, 3], 60, True, "premises", "mixed", "shop", 4.0, 0.92),
    ("YD-2", "Charging post", [2, 4], 40, False, "premises", "charging", "charging", 7.0, 0.99),
    ("YD-5", "Yard office", [5], 20, True, "premises", "electronic", "office", 1.3, 0.95),
    ("YD-7", "Yard lights", [7], 20, True, "common", "electronic", "night_light", 0.9, 0.93),
]

# id, name, inputs, groups, references, input_kind, full_scale, volts_ln_min, volts_ln_max
PROFILES = [
    ("M22", "22 inputs in four connectors, 50 mA", 22, [5, 6, 5, 6], ["A", "B", "C", "N"], "milliamps", 50, 85, 300),
    ("M13", "13 inputs in three connectors, 0.3 V", 13, [4, 5, 4], ["A", "B", "C", "N"], "millivolts", 300, 85, 300),
    ("M7", "7 inputs in two connectors, 0.3 V", 7, [3, 4], ["A", "B", "N"], "millivolts", 300, 85, 300),
]

# id, name, profile, service
DEVICES = [
    ("W1", "Meter in the switch room", "M22", "wye"),
    ("W2", "Meter in the first-floor riser", "M22", "wye"),
    ("W3", "Meter in the second-floor riser", "M13", "wye"),
    ("H1", "Meter in the workshop", "M13", "high-leg"),
    ("Y1", "Meter in the gatehouse", "M7", "yard"),
]

# Diameter over insulation of the conductor behind each breaker, in mm.
CONDUCTOR_MM = {15: 4.2, 20: 4.6, 30: 6, 40: 7.2, 60: 9, 100: 13, 200: 19, 400: 27}

# id, primary amps, secondary, output, class, core, window in mm
CT_TYPES = [
    ("I60", 60, 40, "milliamps", "0.5S", "split", 16),
    ("I100", 100, 40, "milliamps", "0.5S", "split", 16),
    ("I400", 400, 40, "milliamps", "0.5", "solid", 36),
    ("V60", 60, 250, "millivolts", "0.5S", "split", 16),
    ("V100", 100, 250, "millivolts", "0.5S", "split", 16),
    ("V200", 200, 250, "millivolts", "0.5", "solid", 24),
]

# id, name, occupancy, occupant, area in m2
PREMISES = [
    ("bakery", "Bakery", "tenant", "account 1001", 180),
    ("cafe", "Cafe", "tenant", "account 1002", 140),
    ("chandlery", "Chandlery", "tenant", "account 1003", 110),
    *[(f"flat-{n}", f"Flat {n}", "tenant", f"account {1010 + n}", a)
      for n, a in zip(range(1, 9), (74, 66, 81, 58, 66, 74, 90, 58))],
    *[(f"studio-{n}", f"Studio {n}", "tenant", f"account {1020 + n}", a)
      for n, a in zip(range(1, 5), (32, 28, 34, 22))],
    ("joinery", "Joinery", "tenant", "account 1031", 220),
    ("forge", "Forge", "tenant", "account 1032", 130),
    ("kiln", "Pottery kiln", "tenant", "account 1033", 45),
    ("bench-1", "Bench 1", "tenant", "account 1034", 20),
    ("bench-2", "Bench 2", "tenant", "account 1035", 20),
    ("boat-store", "Boat store", "tenant", "account 1041", 300),
    ("charging", "Charging post", "tenant", "account 1042", 15),
    ("yard-office", "Yard office", "tenant", "account 1043", 24),
    ("common", "Common parts", "common", None, 640),
]

# point, premises (None: billed to nobody), device, CT type, circuits in the order of the inputs
POINTS = [
    ("main-wye", None, "W1", "I400", ["MAIN-W"]),
    ("bakery", "bakery", "W1", "I100", ["MSB-1"]),
    ("cafe", "cafe", "W1", "I100", ["MSB-2"]),
    ("chandlery", "chandlery", "W1", "I100", ["MSB-7"]),
    ("lift", "common", "W1", "I60", ["MSB-8"]),
    ("pumps", "common", "W1", "I60", ["MSB-13"]),
    ("laundry", "common", "W1", "I60", ["MSB-14"]),
    ("meter-supply", None, "W1", "I60", ["MSB-18"]),
    ("flat-1", "flat-1", "W2", "I60", ["R1-1", "R1-13"]),
    ("flat-2", "flat-2", "W2", "I60", ["R1-2"]),
    ("flat-3", "flat-3", "W2", "I60", ["R1-5"]),
    ("flat-4", "flat-4", "W2", "I60", ["R1-6"]),
    ("corridor", "common", "W2", "I60", ["R1-9"]),
    ("studio-1", "studio-1", "W2", "I60", ["R1-10"]),
    ("studio-2", "studio-2", "W2", "I60", ["R1-12"]),
    ("flat-5", "flat-5", "W3", "V60", ["R2-1"]),
    ("flat-6", "flat-6", "W3", "V60", ["R2-2"]),
    ("flat-7", "flat-7", "W3", "V60", ["R2-5"]),
    ("flat-8", "flat-8", "W3", "V60", ["R2-6"]),
    ("studio-3", "studio-3", "W3", "V60", ["R2-9"]),
    ("studio-4", "studio-4", "W3", "V60", ["R2-10"]),
    ("storeroom", "cafe", "W3", "V60", ["R2-11"]),
    ("main-high-leg", None, "H1", "V200", ["MAIN-H"]),
    ("joinery", "joinery", "H1", "V100", ["WS-1"]),
    ("forge", "forge", "H1", "V100", ["WS-2"]),
    ("bench-1", "bench-1", "H1", "V60", ["WS-7"]),
    ("dust", "common", "H1", "V60", ["WS-8"]),
    ("kiln", "kiln", "H1", "V60", ["WS-11"]),
    ("bench-2", "bench-2", "H1", "V60", ["WS-12"]),
    ("main-yard", None, "Y1", "V100", ["MAIN-Y"]),
    ("boat-store", "boat-store", "Y1", "V60", ["YD-1"]),
    ("charging", "charging", "Y1", "V60", ["YD-2"]),
    ("yard-office", "yard-office", "Y1", "V60", ["YD-5"]),
    ("yard-lights", "common", "Y1", "V60", ["YD-7"]),
]

MAIN_OF = {"wye": "main-wye", "high-leg": "main-high-leg", "yard": "main-yard"}
PANEL_OF_MAIN = {"MAIN-W": "MSB", "MAIN-H": "WS", "MAIN-Y": "YD"}
MOVE = "2026-02-05T00:00:00-05:00"  # a Thursday, in the middle of the demo week


def panel_of(circuit):
    return PANEL_OF_MAIN.get(circuit) or circuit.split("-")[0]


def phases_of(circuit, spaces):
    """Phase of each pole: two columns, one phase a row."""
    if isinstance(spaces, str):
        return spaces
    bus = next(p[6] for p in PANELS if p[0] == panel_of(circuit))
    return "".join(bus[(space - 1) // 2 % len(bus)] for space in spaces)


def elements_of(phases, neutral):
    """(pole, reference) of each element: line to neutral where the load has a neutral, else the
    fewest: one between the lines of two poles, two against the middle line of three."""
    if neutral:
        return [(i + 1, f"{p}-N") for i, p in enumerate(phases)]
    if len(phases) == 2:
        return [(1, f"{phases[0]}-{phases[1]}")]
    return [(1, f"{phases[0]}-{phases[1]}"), (3, f"{phases[2]}-{phases[1]}")]


def build():
    """The correct record, as the object that its file holds."""
    types = {t[0]: t for t in CT_TYPES}
    circuits = {c[0]: c for c in CIRCUITS}
    service_of = {d[0]: d[3] for d in DEVICES}
    site = {
        "blondel": "1",
        "name": "Harbour Mill",
        "address": "1 Mill Quay, Exampleton",
        "zone": "America/New_York",
        "services": {}, "panels": {}, "circuits": {}, "ct_types": {}, "cts": {}, "profiles": {},
        "devices": {}, "channels": {}, "premises": {}, "points": {}, "rollups": {}, "evidence": {},
    }
    for sid, kind, ln, ll, name in SERVICES:
        s = {"name": name, "kind": kind, "volts_ln": ln, "volts_ll": ll, "frequency_hz": 60}
        if kind == "high_leg_delta":
            s["high_leg"] = "B"
        if kind != "single_phase_three_wire":
            s["rotation"] = "ABC"
        site["services"][sid] = s
    for pid, name, location, service, fed_from, spaces, bus in PANELS:
        site["panels"][pid] = {"name": name, "location": location, "service": service, "fed_from": fed_from,
                               "spaces": spaces, "numbering": "two_columns", "bus": bus}
    for cid, name, spaces, amps, neutral, role, load, shape, kw, pf in CIRCUITS:
        c = {"name": name, "panel": panel_of(cid)}
        c["phases" if isinstance(spaces, str) else "spaces"] = spaces
        c |= {"breaker_amps": amps, "neutral": neutral, "role": role, "conductor_mm": CONDUCTOR_MM[amps]}
        if load:
            c["load"] = load
        if shape:
            c["ext"] = {"load_model": {"shape": shape, "peak_kw": kw, "power_factor": pf}}
        site["circuits"][cid] = c
    for tid, primary, secondary, output, accuracy, core, window in CT_TYPES:
        unit = {"milliamps": "mA", "millivolts": "mV"}[output]
        site["ct_types"][tid] = {"name": f"{primary} A : {secondary} {unit}, {core} core", "primary_amps": primary,
                                 "secondary": secondary, "output": output, "accuracy_class": accuracy,
                                 "core": core, "mark_faces": "source", "window_mm": window}
        if output == "milliamps":
            site["ct_types"][tid]["burden_va"] = 0.02
    for pid, name, inputs, groups, references, kind, full, low, high in PROFILES:
        site["profiles"][pid] = {"name": name, "inputs": inputs, "groups": groups, "references": references,
                                 "input_kind": kind, "full_scale": full, "accuracy_class": "0.5S",
                                 "volts_ln_min": low, "volts_ln_max": high}
        if kind == "milliamps":
            site["profiles"][pid]["input_ohms"] = 5
    for number, (did, name, profile, service) in enumerate(DEVICES):
        site["devices"][did] = {"name": name, "serial": f"HM-{4011 + 7 * number}", "profile": profile,
                                "service": service, "supply": "MSB-18", "scaled_by": "device", "leads_protected": True}
    for pid, name, occupancy, occupant, area in PREMISES:
        p = {"name": name, "occupancy": occupancy}
        if occupant:
            p["occupant"] = occupant
        site["premises"][pid] = p | {"area_m2": area}

    used = {d[0]: 0 for d in DEVICES}
    for pid, premises, device, ct_type, cids in POINTS:
        elements = {}
        for cid in cids:
            _, name, spaces, _, neutral, role, *_ = circuits[cid]
            phases = phases_of(cid, spaces)
            for pole, reference in elements_of(phases, neutral):
                used[device] += 1
                channel = f"{device}-{used[device]:02d}"
                ct = f"{cid}.{phases[pole - 1]}"
                site["cts"][ct] = {"type": ct_type, "passes": {f"{cid}:{pole}": 1}, "mark_faces": "source"}
                if types[ct_type][3] == "milliamps":
                    site["cts"][ct] |= {"lead_m": 6, "lead_mm2": 0.75}
                site["channels"][channel] = {
                    "name": f"{name} {phases[pole - 1]}", "device": device, "input": used[device], "cts": {ct: 1},
                    "reference": reference, "primary_amps": types[ct_type][1], "secondary": types[ct_type][2]}
                elements[channel] = 1
        role = circuits[cids[0]][5]
        point = {"name": circuits[cids[0]][1], "use": {"main": "main", "meter_supply": "check"}.get(role, "billing")}
        if premises:
            point["premises"] = premises
        site["points"][pid] = point | {"circuits": cids, "elements": elements}

    for sid, _, _, _, name in SERVICES:
        points = {p[0]: 1 for p in POINTS if service_of[p[2]] == sid and p[0] != MAIN_OF[sid]}
        site["rollups"][sid] = {"name": name.split(",")[0], "points": points, "against": MAIN_OF[sid],
                                "tolerance_percent": 2}
    site["rollups"]["whole-site"] = {"name": "Harbour Mill, all services", "rollups": {s[0]: 1 for s in SERVICES}}
    add_history(site)
    add_evidence(site)
    return site


def add_history(site):
    """What is not the same at all times, and a reversed CT that its polarity setting undoes."""
    flat = site["premises"]["flat-5"]
    flat["occupancy"] = {"dated": [{"to": MOVE, "value": "vacant"}, {"from": MOVE, "value": "tenant"}]}
    flat["occupant"] = {"dated": [{"to": MOVE, "value": "owner"}, {"from": MOVE, "value": "account 1015"}]}
    site["points"]["storeroom"]["premises"] = {"dated": [
        {"to": MOVE, "value": "cafe"},
        {"from": MOVE, "recorded_at": "2026-02-04T16:00:00-05:00", "reason": "storeroom let to the chandlery",
         "evidence": "E5", "value": "chandlery"}]}
    site["channels"]["W2-10"]["primary_amps"] = {"dated": [
        {"to": "2026-01-20T14:00:00-05:00", "value": 100},
        {"from": "2026-01-20T14:00:00-05:00", "recorded_at": "2026-01-20T14:05:00-05:00",
         "reason": "ratio corrected to that of the CT", "evidence": "E4", "value": 60}]}
    site["cts"]["YD-1.B"]["mark_faces"] = "load"
    site["channels"]["Y1-04"]["polarity"] = "inverted"


def add_evidence(site):
    meter = {"instrument": "voltmeter, our number 14", "calibrated_at": "2025-09-10T00:00:00Z"}
    site["evidence"] = {
        "E1": {"at": "2026-01-15T09:20:00-05:00", "by": "electrician 2", "what": "voltmeter", **meter,
               "about": ["service:wye:volts_ln"], "value": 120.6, "unit": "V", "note": "A to N at MSB"},
        "E2": {"at": "2026-01-15T10:40:00-05:00", "by": "electrician 2", "what": "voltmeter", **meter,
               "about": ["service:high-leg:high_leg"], "value": 208.3, "unit": "V", "note": "B to N at WS"},
        "E3": {"at": "2026-01-15T13:05:00-05:00", "by": "electrician 2", "what": "voltmeter", **meter,
               "about": ["service:yard:volts_ll"], "value": 240.9, "unit": "V", "note": "A to B at YD"},
        "E4": {"at": "2026-01-20T13:50:00-05:00", "by": "electrician 2", "what": "inspection",
               "about": ["ct:R1-9.B", "channel:W2-10:primary_amps"], "note": "rating plate of the CT read"},
        "E5": {"at": "2026-02-04T15:30:00-05:00", "by": "letting office", "what": "statement",
               "about": ["point:storeroom:premises"], "note": "lease of the storeroom"},
        "E6": {"at": "2026-01-16T08:30:00-05:00", "by": "electrician 2", "what": "inspection",
               "about": ["ct:YD-1.B:mark_faces", "channel:Y1-04:polarity"],
               "note": "mark faces the load; no room to turn it; polarity set to inverted"},
    }
