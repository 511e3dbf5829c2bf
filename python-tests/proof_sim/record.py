"""The drawn points as a site file and as columns of readings. The record is always what was meant, never what was drawn."""

import json

import numpy as np

from . import loads, meters
from .shapes import SERVICES

MINUTE = 60_000_000
START = 1_767_225_600_000_000  #: 2026-01-01T00:00:00Z in microseconds


def channel_ids(batch, i):
    return [f"p{batch.id[i]}-{e + 1}" for e in range(batch.shape.elements)]


def _types():
    return {f"t{amps}-{name}": {"primary_amps": int(amps), "secondary": 100, "output": "milliamps", "core": "split",
                                "accuracy_class": name, "mark_faces": "source"}
            for amps in meters.RATINGS for name in meters.CT_NAMES}


def site(batches, name="Simulated building"):
    """The record as a dictionary in the form of a site file."""
    out = {"blondel": "1", "name": name, "services": {}, "panels": {}, "circuits": {}, "ct_types": _types(), "cts": {},
           "profiles": {}, "devices": {}, "channels": {}, "points": {}}
    used = {}
    for b in batches:
        service, facts = b.shape.service, SERVICES[b.shape.service][0]
        out["services"][service] = dict(facts)
        labels = [k for k in "ABCN" if k in b.shape.potentials]
        out["profiles"][service] = {"inputs": 1000, "references": labels, "accuracy_class": "0.2",
                                    "input_kind": "milliamps"}
        for i in range(len(b)):
            device, point = f"d{b.device[i]}", f"p{b.id[i]}"
            if device not in out["devices"]:
                out["devices"][device] = {"profile": service, "service": service, "scaled_by": "device"}
                out["panels"][f"panel-{device}"] = {"service": service}
            circuit = {"panel": f"panel-{device}", "phases": b.shape.poles, "breaker_amps": float(b.rating[i]),
                       "neutral": b.shape.neutral}
            if b.declared[i]:
                circuit["load"] = loads.NAMES[b.kind[i]]
            out["circuits"][f"c{b.id[i]}"] = circuit
            for e, channel in enumerate(channel_ids(b, i)):
                pole = b.shape.poles.index((b.shape.meant or b.shape.poles)[e]) + 1
                used[device] = used.get(device, 0) + 1
                out["cts"][f"ct-{channel}"] = {
                    "type": f"t{int(b.rating[i])}-{meters.CT_NAMES[b.ct_class[i]]}",
                    "passes": {f"c{b.id[i]}:{pole}": 1}, "mark_faces": "source"}
                out["channels"][channel] = {
                    "device": device, "input": used[device], "cts": {f"ct-{channel}": 1},
                    "reference": b.shape.references[e], "primary_amps": int(b.rating[i]), "secondary": 100}
            out["points"][point] = {"use": "check", "circuits": [f"c{b.id[i]}"], "elements": {c: 1 for c in channel_ids(b, i)}}
    return out


def site_text(batches):
    return json.dumps(site(batches))


def readings(batches, quantities="PQ"):
    """Columns by name: channels (ids), at (microseconds), and numbers. `quantities`: PQ or PS."""
    columns = {k: [] for k in ("channels", "at", "volts", "watts", "vars" if quantities == "PQ" else "volt_amps")}
    for b in batches:
        snapshots = b.watts.shape[1]
        ids = [c for i in range(len(b)) for c in channel_ids(b, i)]
        for t in range(snapshots):
            columns["channels"] += ids
            columns["at"].append(np.full(len(ids), START + 15 * MINUTE * t, np.int64))
            for k in list(columns)[2:]:
                columns[k].append(getattr(b, k)[:, t].ravel().astype(float))
    return {k: v if k == "channels" else np.concatenate(v) for k, v in columns.items()}
