"""Allocations as an integer programme, solved by HiGHS: the second opinion on bln_plan_new()."""

import highspy


def site(circuits, profiles, devices=(), points=None):
    """A record: ``circuits`` {id: poles}, ``profiles`` {id: connectors}, ``devices`` {id: (profile, used inputs)}."""
    space, rows = 1, {}
    for name, poles in circuits.items():
        rows[name] = {"panel": "P", "spaces": list(range(space, space + poles)), "breaker_amps": 20, "neutral": True}
        space += poles
    record = {
        "blondel": "1",
        "services": {"S": {"kind": "four_wire_wye", "volts_ln": 120, "volts_ll": 208}},
        "panels": {"P": {"service": "S", "spaces": max(space, 1), "numbering": "one_column", "bus": "ABC"}},
        "circuits": rows,
        "ct_types": {"T": {"primary_amps": 50, "secondary": 250, "output": "millivolts"}},
        "profiles": {p: {"inputs": sum(g), "groups": g, "references": ["A", "B", "C", "N"], "input_kind": "millivolts"}
                     for p, g in profiles.items()},
        "devices": {d: {"profile": p, "service": "S"} for d, (p, _) in dict(devices).items()},
        "cts": {}, "channels": {}, "points": {},
    }
    record["circuits"]["OTHER"] = {"phases": "A"}
    for d, (_, used) in dict(devices).items():
        for i in used:
            record["cts"][f"{d}.{i}"] = {"type": "T", "passes": {"OTHER:1": 1}}
            record["channels"][f"{d}-{i}"] = {"device": d, "input": i, "cts": {f"{d}.{i}": 1}}
    for name, members in (points or {}).items():
        record["points"][name] = {"circuits": members}
    return record


def connectors_of(groups):
    """Inputs of each connector, from 1."""
    first = 1
    for size in groups:
        yield list(range(first, first + size))
        first += size


def fewest(circuits, profiles, devices=(), points=None, pins=None, spare_percent=0, most=8, across=False):
    """Fewest added devices, or None where even ``most`` of each profile do not do."""
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    places = []  # (connectors as free inputs, inputs in all, variable or 1, device id or None)
    for d, (p, used) in dict(devices).items():
        free = [[i for i in c if i not in used] for c in connectors_of(profiles[p])]
        places.append((free, sum(profiles[p]), 1, d))
    added = []
    for p in profiles:
        previous = None
        for _ in range(most):
            taken = solver.addBinary()
            if previous is not None:
                solver.addConstr(previous - taken >= 0)  # of equal devices the first come first
            previous = taken
            added.append(taken)
            places.append((list(connectors_of(profiles[p])), sum(profiles[p]), taken, None))
    point_of = {c: name for name, members in (points or {}).items() for c in members}
    on_device = {c: [] for c in circuits}
    of_point = {name: [solver.addBinary() for _ in places] for name in (points or {})}
    for variables in of_point.values():
        solver.addConstr(sum(variables[1:], variables[0]) == 1)
    load_of = []
    for k, (free, _, taken, device) in enumerate(places):
        groups = [sum(free, [])] if across else free
        load_of.append([])
        for inputs in groups:
            used_here = []
            for c, poles in circuits.items():
                x = solver.addBinary()
                used_here.append(poles * x)
                load_of[-1].append(poles * x)
                on_device[c].append((k, x))
                pin = (pins or {}).get(c)
                if pin is not None and device != pin:
                    solver.addConstr(1 * x <= 0)
            load = sum(used_here[1:], used_here[0])
            if isinstance(taken, int):
                solver.addConstr(load <= len(inputs))
            else:
                solver.addConstr(load - len(inputs) * taken <= 0)
    for c, variables in on_device.items():
        xs = [1 * x for _, x in variables]
        solver.addConstr(sum(xs[1:], xs[0]) == 1)
        if c in point_of:
            for k in range(len(places)):
                here = [1 * x for at, x in variables if at == k]
                solver.addConstr(sum(here[1:], here[0]) - of_point[point_of[c]][k] <= 0)
    if spare_percent:
        # free inputs in all >= share of all inputs; whole numbers, so that rounding up changes nothing
        share = spare_percent / 100
        expression, constant = None, 0.0
        for (free, inputs, taken, _), loads in zip(places, load_of):
            room = sum(len(f) for f in free) - share * inputs
            term = sum(loads[1:], loads[0]) * -1
            if isinstance(taken, int):
                constant += room
            else:
                term = term + room * taken
            expression = term if expression is None else expression + term
        solver.addConstr(expression >= -constant - 1e-7)
    # one kind after another, least in all
    objective = sum(added[1:], 1 * added[0]) if added else None
    if objective is None:
        solver.run()
    else:
        solver.minimize(objective)
    status = solver.getModelStatus()
    if status != highspy.HighsModelStatus.kOptimal:
        assert status == highspy.HighsModelStatus.kInfeasible, status
        return None
    return round(sum(solver.val(a) for a in added))
