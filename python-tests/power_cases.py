"""The job "form-evaluate": published worked examples through the form. Format: tests/cases/power/README.md."""

import cmath
import math

import blondel


def keys(data, required, optional=()):
    assert isinstance(data, dict)
    assert set(required) <= data.keys() <= set(required) | set(optional)


def polar(pair):
    magnitude, degrees = pair
    return cmath.rect(magnitude, math.radians(degrees))


def between(volts, pair):
    first, dash, second = pair
    assert dash == "-"
    return volts.get(first, 0) - volts.get(second, 0)


def current(draw, volts):
    v = between(volts, draw["between"])
    if "ohms" in draw:
        keys(draw, {"between", "ohms"})
        return v / complex(*draw["ohms"])
    if "amps" in draw:
        keys(draw, {"between", "amps"})
        return polar(draw["amps"])
    if "vars" in draw:
        keys(draw, {"between", "watts", "vars"})
        return (complex(draw["watts"], draw["vars"]) / v).conjugate()
    keys(draw, {"between", "watts", "power_factor", "sense"})
    sign = {"lagging": 1, "leading": -1}[draw["sense"]]
    q = sign * draw["watts"] * math.tan(math.acos(draw["power_factor"]))
    return (complex(draw["watts"], q) / v).conjugate()


def form_of(case):
    keys(case["service"], {"kind"}, {"rotation", "legs", "high_leg", "grounded_phase"})
    settings = {name: word for name, word in case["service"].items() if name != "kind"}
    arrangement = blondel.Arrangement(case["service"]["kind"], **settings).load(case["load"])
    assert ("arrangement" in case) != ("elements" in case)
    if "arrangement" in case:
        arrangement.use(case["arrangement"])
    for element in case.get("elements", ()):
        keys(element, {"volts", "amps"})
        arrangement.element(element["volts"], {case["load"].index(k): n for k, n in element["amps"].items()})
    return arrangement.form()


def near(wanted, got):
    value, tolerance = wanted
    assert abs(got - value) <= tolerance


def run(folder, case):
    keys(case, {"job", "id", "title", "source", "provenance", "published_inputs", "service", "load", "volts", "draws",
                "expected"}, {"notes", "arrangement", "elements"})
    assert case["provenance"] in ("published: seen", "published: from memory", "common practice, no source")
    assert len(case["source"]) > 10
    form = form_of(case)
    volts = {name: polar(pair) for name, pair in case["volts"].items()}
    amps = dict.fromkeys(case["load"], 0j)
    for draw in case["draws"]:
        i = current(draw, volts)
        first, _, second = draw["between"]
        amps[first] += i
        amps[second] -= i
    # The star point of three equal impedances has no potential of its own; where the form is exact none matters.
    floating = {f"floating{n}": 0 for n in (1, 2, 3)}
    result = form.evaluate({**floating, **volts}, [amps[k] for k in case["load"]], elements=True)
    registered, truth = complex(result.registered[0]), complex(result.truth[0])
    numbers = {
        "registered_watts": registered.real,
        "registered_vars": registered.imag,
        "registered_va": abs(registered),
        "true_watts": truth.real,
        "true_vars": truth.imag,
    }
    expected = dict(case["expected"])
    exact = expected.pop("exact")
    assert form.exact is exact
    if exact:
        scale = sum(abs(amps[k]) * abs(volts.get(k, 0)) for k in case["load"])
        assert abs(registered - truth) <= 1e-9 * scale
    assert expected, "a case that compares nothing"
    for name, wanted in expected.items():
        if name == "fewest_elements":
            assert form.fewest_elements == wanted
        elif name == "element_watts":
            assert len(wanted) == len(result.elements)
            for pair, element in zip(wanted, result.elements):
                near(pair, element[0].real)
        elif name == "amps":
            for k, pair in wanted.items():
                near(pair, abs(amps[k]))
        elif name == "volts":
            for k, pair in wanted.items():
                near(pair, abs(between(volts, k)))
        elif name == "power_factor":
            near(wanted, truth.real / abs(truth))
        elif name == "error_percent":
            near(wanted, 100 * abs(registered.real - truth.real) / truth.real)
        else:
            near(wanted, numbers[name])
