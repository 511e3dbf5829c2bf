"""Where in the building a finding is dealt with: its panel and circuit."""

from __future__ import annotations


def _first(keys):
    return next(iter(keys or ()), "")


def circuit_of(view, kind, id):
    """Circuit that a CT surrounds, whose CT a channel reads, or that a point measures first; or ""."""
    if kind == "channel" and id in view.channel:
        kind, id = "ct", _first(view.channel[id].cts)
    if kind == "ct" and id in view.ct:
        return _first(view.ct[id].passes).partition(":")[0]
    if kind == "point" and id in view.point:
        return _first(view.point[id].circuits)
    return id if kind == "circuit" else ""


def place_of(view, finding):
    """(panel, circuit); both empty where no cover has to come off."""
    for kind, id in finding.subjects:
        if kind == "panel":
            return id, ""
        circuit = circuit_of(view, kind, id)
        if circuit in view.circuit:
            panel = view.circuit[circuit].panel
            if panel in view.panel:
                return panel, circuit
    return "", ""


def by_panel(view, findings):
    """Findings grouped in the order in which panels would be opened: the desk first, then panels and
    circuits as the record lists them. Yields (panel, findings)."""
    panels = {id: n for n, id in enumerate(["", *view.panel])}
    circuits = {id: n for n, id in enumerate(["", *view.circuit])}
    groups: dict[str, list] = {}
    for n, finding in enumerate(findings):
        panel, circuit = place_of(view, finding)
        groups.setdefault(panel, []).append((circuits[circuit], n, finding))
    for panel in sorted(groups, key=panels.__getitem__):
        yield panel, [finding for _, _, finding in sorted(groups[panel], key=lambda row: row[:2])]
