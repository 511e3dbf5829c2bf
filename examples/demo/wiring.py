# SPDX-License-Identifier: Apache-2.0
"""Phasors of the building as it is wired: currents of every conductor, and what each channel sees.

Everything the record says (CT positions, directions, ratios, polarity, references) is followed.
FAULTS is what the record does not know.
"""

import cmath
import math

from .loads import Load, Noise

# Two wiring faults that no record shows: what they do to the CTs of the correct record.
SWAPPED = ("MSB-1.B", "MSB-1.C")  # bakery: two CTs of its three-phase point hang on each other's phase
REVERSED = "R2-5.A"  # flat 7: hangs the wrong way round


def held(field, at):
    """Value of a field that may be dated, at an instant in seconds."""
    if not (isinstance(field, dict) and "dated" in field):
        return field
    from .files import seconds
    for one in field["dated"]:
        if ("from" not in one or seconds(one["from"]) <= at) and ("to" not in one or at < seconds(one["to"])):
            return one["value"]
    return None


def nominal(service):
    """Nominal phasors of A, B, C against the neutral; phase sequence ABC."""
    ln, ll = service["volts_ln"], service["volts_ll"]
    if service["kind"] == "four_wire_wye":
        return {p: cmath.rect(ln, -i * 2 * math.pi / 3) for i, p in enumerate("ABC")}
    if service["kind"] == "high_leg_delta":  # B is the high leg, a quarter turn behind A
        return {"A": complex(ln), "B": cmath.rect(math.sqrt(3) * ll / 2, -math.pi / 2), "C": complex(-ln)}
    return {"A": complex(ln), "B": complex(-ln)}


class Building:
    """Call voltages() and currents() once an interval, in order."""

    def __init__(self, site):
        self.site = site
        self.service_of = {}
        self.phases = {}
        self.loads = {}
        self.feeds = {}
        for cid, circuit in site["circuits"].items():
            panel = site["panels"][circuit["panel"]]
            self.service_of[cid] = panel["service"]
            bus = panel["bus"]
            self.phases[cid] = circuit.get("phases") or "".join(
                bus[(space - 1) // 2 % len(bus)] for space in circuit["spaces"])
            if circuit["role"] == "main":
                continue
            self.feeds.setdefault(panel["fed_from"], []).append(cid)
            if "ext" in circuit:
                self.loads[cid] = Load(cid, circuit["ext"]["load_model"])
        self.noise = {sid: Noise("volts", sid) for sid in site["services"]}

    def voltages(self):
        """Phasors of each service: nominal, two percent up or down, phases apart by half a percent."""
        out = {}
        for sid, service in self.site["services"].items():
            noise = self.noise[sid]
            level = 1 + noise.between(-0.004, 0.014)
            out[sid] = {p: v * level * (1 + noise.between(-0.004, 0.004)) *
                        cmath.rect(1, math.radians(noise.between(-0.2, 0.2)))
                        for p, v in nominal(service).items()}
        return out

    def currents(self, volts, weekday, hour):
        """Amperes of each pole, and the complex power of each circuit."""
        amps, power = {}, {}
        for cid, load in self.loads.items():
            v = volts[self.service_of[cid]]
            parts = load.next(weekday, hour)
            amps[cid] = self.split(cid, v, parts)
            power[cid] = sum(v[p] * i.conjugate() for p, i in zip(self.phases[cid], amps[cid]))
        for main, circuits in self.feeds.items():
            total = dict.fromkeys(self.phases[main], 0j)
            for cid in circuits:
                for p, i in zip(self.phases[cid], amps.get(cid, ())):
                    total[p] += i
            amps[main] = list(total.values())
            power[main] = sum(power.get(cid, 0) for cid in circuits)
        return amps, power

    def split(self, cid, v, parts):
        """Amperes of the poles that take these parts of a load."""
        phases, circuit = self.phases[cid], self.site["circuits"][cid]
        total = sum(parts)
        if total == 0:
            return [0j] * len(phases)
        if len(phases) == 1:
            return [(total / v[phases]).conjugate()]
        if len(phases) == 2:
            a, b = phases
            across = (total if not circuit["neutral"] else 0.3 * total) / (v[a] - v[b])
            across = across.conjugate()
            if not circuit["neutral"]:
                return [across, -across]
            rest = 0.7 * total / (parts[0] + parts[1])
            return [across + (rest * parts[0] / v[a]).conjugate(), -across + (rest * parts[1] / v[b]).conjugate()]
        # Between lines: a motor. To neutral: the rest; a high leg feeds no load to neutral.
        high = self.site["services"][self.service_of[cid]].get("high_leg")
        motor = 1.0 if not circuit["neutral"] else 0.75 if high else 0.2
        amps = dict.fromkeys(phases, 0j)
        for (x, y), part in zip(("AB", "BC", "CA"), parts):
            i = (motor * part / (v[x] - v[y])).conjugate()
            amps[x] += i
            amps[y] -= i
        if motor < 1:
            legs = [(p, part) for p, part in zip(phases, parts) if p != high]
            scale = (1 - motor) * total / sum(part for _, part in legs)
            for p, part in legs:
                amps[p] += (scale * part / v[p]).conjugate()
        return [amps[p] for p in phases]


class Metering:
    """What the channels of a record see of a building."""

    def __init__(self, site, faults, at):
        self.channels = {}
        for cid, channel in site["channels"].items():
            device = site["devices"][channel["device"]]
            plus, minus = channel["reference"].split("-")
            windings = []
            for ct, lead in held(channel["cts"], at).items():
                windings += self.winding(site, faults, ct, lead)
            primary, secondary = held(channel["primary_amps"], at), held(channel["secondary"], at)
            sign = -1 if held(channel.get("polarity"), at) == "inverted" else 1
            noise = Noise("ct", *sorted(channel["cts"]))
            # Class 0.5 at the CT and 0.2 at the meter leave a few tenths of a percent and of a degree.
            error = cmath.rect(1 + noise.between(-0.003, 0.003), math.radians(noise.between(-0.15, 0.15)))
            self.channels[cid] = (device["service"], plus, minus, windings,
                                  sign * primary / secondary * error)

    @staticmethod
    def winding(site, faults, ct, lead):
        """(circuit, pole, factor from primary amperes to secondary) of each conductor through a CT."""
        hung = dict(zip(SWAPPED, reversed(SWAPPED))).get(ct, ct) if faults else ct
        kind = site["ct_types"][site["cts"][ct]["type"]]
        factor = lead * kind["secondary"] / kind["primary_amps"]
        if site["cts"][ct]["mark_faces"] != kind["mark_faces"]:
            factor = -factor
        if faults and ct == REVERSED:
            factor = -factor
        return [(key.split(":")[0], int(key.split(":")[1]) - 1, factor * turns)
                for key, turns in site["cts"][hung]["passes"].items()]

    def sees(self, volts, amps):
        """(channel, volts, amps, complex power) of each channel, in primary quantities."""
        for cid, (service, plus, minus, windings, scale) in self.channels.items():
            v = volts[service][plus] - volts[service].get(minus, 0)
            i = scale * sum(factor * amps[circuit][pole] for circuit, pole, factor in windings
                            if circuit in amps)
            yield cid, abs(v), abs(i), v * i.conjugate()
