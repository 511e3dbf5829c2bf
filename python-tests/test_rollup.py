"""Roll-up over periods and as a stream, beside pandas, Polars and DuckDB on a year of open load profiles."""

import io
import json
import os
import threading
import warnings
from datetime import datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import numpy
import pandas
import pytest

import blondel

LONG = os.environ.get("BLONDEL_LONG") == "1"
BERLIN = ZoneInfo("Europe/Berlin")
QUARTER = timedelta(minutes=15)


def micros(when):
    return int(when.timestamp()) * 1_000_000


def stamp(when):
    return when.astimezone(ZoneInfo("UTC")).strftime("%Y-%m-%dT%H:%M:%SZ")


@pytest.fixture(scope="module")
def year():
    """Counts of 0.1 Wh of channels over local time: the profiles of households, trades, farms, and of households
    with solar generation (the German association of energy and water industries, 2025, as demandlib ships them), each
    scaled and shifted."""
    bdew = pytest.importorskip("demandlib.bdew")
    channels = 120 if LONG else 18
    begin = datetime(2025, 1 if LONG else 3, 1, tzinfo=BERLIN)
    end = datetime(2026, 1, 1, tzinfo=BERLIN) if LONG else datetime(2025, 5, 1, tzinfo=BERLIN)
    index = pandas.date_range(begin, end, freq="15min", inclusive="left")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package warns of itself
        shapes = [numpy.asarray(getattr(bdew, name)(index), float) for name in ("H25", "G25", "L25", "P25", "S25")]
    random = numpy.random.default_rng(25)
    counts = numpy.empty((channels, len(index)), numpy.int64)
    for c in range(channels):
        shape = shapes[c % 5] * random.uniform(0.5, 5) - (60 if c % 5 > 2 else 0)
        # From a register that counts: rounding does not add up.
        counts[c] = numpy.diff(numpy.floor(numpy.cumsum(numpy.roll(shape, int(random.integers(-4, 5))))), prepend=0)
    there = random.random(counts.shape) > 0.001
    counts[~there] = 0
    quality = random.choice([0, 0, 0, 0, 17, 19, 8, 10, 14], counts.shape).astype(numpy.uint8)
    return index, counts, there, quality


@pytest.fixture(scope="module")
def record(year):
    """Every third channel is divided; every fourth suite changes hands at a local time that cuts an hour."""
    index, counts, _, _ = year
    channels = len(counts)
    rows = []  # point, channel, share, from, to: the record once more, as a table
    points = {}
    begin, end = index[0].to_pydatetime(), (index[-1] + QUARTER).to_pydatetime()
    move = datetime(2025, 3, 30, 3, 0, tzinfo=BERLIN)  # the hour that summer time takes away has just passed
    for c in range(channels):
        one, other = f"suite-{c:03}", f"after-{c:03}"
        if c % 3 == 0:
            points[one] = {"elements": {f"c{c:03}": "2/3"}}
            points[other] = {"elements": {f"c{c:03}": "1/3"}}
            rows += [(one, c, 2, begin, end), (other, c, 1, begin, end)]
        elif c % 4 == 1:
            points[one] = {"elements": {"dated": [{"to": stamp(move), "value": {f"c{c:03}": 1}}]}}
            points[other] = {"elements": {"dated": [{"from": stamp(move), "value": {f"c{c:03}": 1}}]}}
            rows += [(one, c, 3, begin, move), (other, c, 3, move, end)]
        else:
            points[one] = {"elements": {f"c{c:03}": 1}}
            rows.append((one, c, 3, begin, end))
    site = {"blondel": "1", "channels": {f"c{c:03}": {} for c in range(channels)}, "points": points,
            "rollups": {"floor": {"points": {p: 1 for p in list(points)[::2]}},
                        "house": {"points": {p: 1 for p in list(points)[1::2]}, "rollups": {"floor": 1}}}}
    table = pandas.DataFrame(rows, columns=["point", "channel", "thirds", "from", "to"])
    for name in ("from", "to"):
        table[name] = [micros(t) for t in table[name]]
    return blondel.Site.read(json.dumps(site)), table


@pytest.fixture(scope="module")
def intervals(year):
    index, counts, there, _ = year
    at = numpy.tile((index.as_unit("us").asi8), len(counts))
    channel = numpy.repeat(numpy.arange(len(counts), dtype=numpy.int32), len(index))
    return blondel.Intervals([f"c{c:03}" for c in range(len(counts))], channel=channel, at=at,
                             net_p=blondel.Column(counts.ravel(), there.ravel()), duration=QUARTER, wh_per_count=Fraction(1, 10))


def local_months(index):
    first = index[0].to_pydatetime()
    out = []
    while first <= index[-1].to_pydatetime():
        after = datetime(first.year + first.month // 12, first.month % 12 + 1, 1, tzinfo=BERLIN)
        out.append((first, after))
        first = after
    return out


def long_frame(year):
    index, counts, _, _ = year
    return pandas.DataFrame({"channel": numpy.repeat(numpy.arange(len(counts)), len(index)),
                             "at": numpy.tile(index.as_unit("us").asi8, len(counts)), "counts": counts.ravel()})


def by_pandas(frame, table, begin, end):
    part = frame[(frame["at"] >= begin) & (frame["at"] < end)].merge(table, on="channel")
    part = part[(part["at"] >= part["from"]) & (part["at"] < part["to"])]
    return (part["counts"] * part["thirds"]).groupby(part["point"]).sum().to_dict()


def by_polars(frame, table, begin, end):
    polars = pytest.importorskip("polars")
    part = polars.from_pandas(frame).lazy().filter((polars.col("at") >= begin) & (polars.col("at") < end))
    part = part.join(polars.from_pandas(table).lazy(), on="channel")
    part = part.filter((polars.col("at") >= polars.col("from")) & (polars.col("at") < polars.col("to")))
    sums = part.group_by("point").agg((polars.col("counts") * polars.col("thirds")).sum().alias("sum")).collect()
    return dict(sums.iter_rows())


def by_duckdb(frame, table, begin, end):
    duckdb = pytest.importorskip("duckdb")
    with duckdb.connect() as db:
        db.register("counts", frame)
        db.register("record", table)
        return dict(db.execute(
            'select point, sum(c.counts * thirds)::hugeint from counts c join record r on c.channel = r.channel '
            'and c.at >= r."from" and c.at < r."to" where c.at >= ? and c.at < ? group by point', [begin, end]).fetchall())


def test_local_months_of_open_profiles_to_the_last_count(year, record, intervals):
    site, table = record
    frame = long_frame(year)
    total = dict.fromkeys(table["point"], 0)
    for begin, end in local_months(year[0]):
        statement = blondel.rollup(site, intervals, begin=micros(begin), end=micros(end))
        hours = (end - begin.astimezone(ZoneInfo("UTC"))).total_seconds() / 3600
        assert statement[0].intervals == hours * 4
        mine = {row.id: row.net * statement.quantum for row in statement if row.kind == "point"}
        for engine in (by_pandas, by_polars, by_duckdb):
            theirs = engine(frame, table, micros(begin), micros(end))
            for point, energy in mine.items():
                assert energy == Fraction(int(theirs.get(point, 0)), 30), (engine.__name__, point)
        for point, energy in mine.items():
            total[point] += energy
        assert statement.row("rollup", "house").net == sum(row.net for row in statement if row.kind == "point")
    whole = blondel.rollup(site, intervals)
    assert {row.id: row.net * whole.quantum for row in whole if row.kind == "point"} == total


def test_stated_quantum_adds_up_in_time_and_across_parties(record, intervals):
    site, _ = record
    exact = blondel.rollup(site, intervals)
    whole = blondel.rollup(site, intervals, quantum=1000)
    assert whole.quantum == 1000
    parties = [row for row in whole if row.kind in ("point", "unallocated")]
    energy = sum(row.net * exact.quantum for row in exact if row.kind in ("point", "unallocated"))
    assert sum(row.net for row in parties) == (energy / 1000 + Fraction(1, 2)).__floor__()
    for i, row in enumerate(whole):
        counts, _ = whole.series(i)
        assert counts.sum() == row.net
        assert row.import_p - row.export_p == row.net
        if row.kind != "rollup":
            assert abs(row.net * 1000 - exact[i].net * exact.quantum) < 1000
    house = whole.row("rollup", "house")
    assert house.net == sum(row.net for row in whole if row.kind == "point")


def streams(site, year, begin, end, step, **how):
    index, counts, there, quality = year
    low, high = index.searchsorted(begin), index.searchsorted(end)
    stream = blondel.RollupStream(site, [f"c{c:03}" for c in range(len(counts))], begin=micros(begin), end=micros(end),
                                  duration=QUARTER, wh_per_count=Fraction(1, 10), digest=True, **how)
    net = numpy.zeros((len(stream.rows), len(stream)), numpy.int64)
    codes = numpy.zeros(net.shape, numpy.uint8)
    complete = numpy.zeros(net.shape, numpy.uint8)
    assert len(stream) == high - low
    for a in range(low, high, step):
        b = min(a + step, high)
        stream.push(counts[:, a:b], quality=quality[:, a:b],
                    net_p_valid=numpy.packbits(there[:, a:b], axis=1, bitorder="little"),
                    into=net[:, a - low:b - low], into_quality=codes[:, a - low:b - low],
                    complete=complete[:, a - low:b - low])
    return stream.finish(), net, codes, complete


def test_a_stream_says_what_the_whole_says(year, record, intervals):
    site, table = record
    index, counts, there, quality = year
    begin, end = index[0].to_pydatetime(), datetime(2025, 4, 1, tzinfo=BERLIN)
    whole = blondel.rollup(site, intervals, begin=micros(begin), end=micros(end))
    statement, net, codes, complete = streams(site, year, begin, end, 1000)
    again, *_ = streams(site, year, begin, end, 96)
    assert statement.input_digest == again.input_digest != ""
    assert statement.record_digest == whole.record_digest
    for i, row in enumerate(whole):
        assert (row.id, row.net, row.import_p, row.export_p, row.missing) == (
            statement[i].id, statement[i].net, statement[i].import_p, statement[i].export_p, statement[i].missing)
        series, valid = whole.series(i)
        assert (series == net[i]).all()
        assert (valid == complete[i].astype(bool)).all()
    # The worst part, from the table of the record, in an order written down here.
    order = [19, 17, 0, 18, 14, 11, 7, 9, 8, 13, 10]
    rank = numpy.full(256, 99)
    rank[order] = range(len(order))
    n = net.shape[1]
    house = statement.rows.index(statement.row("rollup", "house"))
    used = table["channel"].unique()
    worst = rank[quality[used, :n]].max(axis=0)
    full = there[used, :n].all(axis=0)
    assert (rank[codes[house]][full] == worst[full]).all()
    assert statement[house].missing == (~full).sum()
    assert statement.quality(house) == {
        word: int(k) for word, code in blondel.QUALITY.items() if (k := (full & (worst == rank[code])).sum())}
    with pytest.raises(blondel.StateError):
        statement.series(0)


def test_months_in_parallel_streams(year, record):
    site, _ = record
    months = local_months(year[0])
    alone = [streams(site, year, *month, 500)[0] for month in months]
    found = [None] * len(months)

    def run(i):
        found[i] = streams(site, year, *months[i], 500)[0]

    threads = [threading.Thread(target=run, args=(i,)) for i in range(len(months))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [s.rows for s in found] == [s.rows for s in alone]


def test_exports_say_the_same(record, intervals):
    site, _ = record
    statement = blondel.rollup(site, intervals, quantum=1)
    whole = statement.as_dict()
    assert whole["blondel_statement"] == "1"
    assert whole["library"] == blondel.__version__
    assert whole["record_sha256"] == statement.record_digest == site.digest()
    assert whole["intervals_sha256"] == statement.input_digest
    frame = pandas.read_csv(io.StringIO(statement.csv()))
    for i, row in enumerate(statement):
        assert frame["net"][i] == row.net == int(whole["rows"][i]["net"])
        assert frame["flagged"][i] == row.flagged == whole["rows"][i]["flagged"]
    assert (statement.column("net") == frame["net"]).all()
    into = numpy.zeros(len(statement))
    assert statement.column("net", into=into)[0] == statement[0].net
    assert list(statement.to_frame()["net"]) == [row.net for row in statement]


def test_bad_blocks_are_refused_and_lose_nothing(one_panel):
    site = blondel.Site.read('{"blondel":"1","channels":{"a":{}},"points":{"P":{"elements":{"a":1}}}}')

    def fresh(**how):
        return blondel.RollupStream(site, ["a"], begin=0, end=4 * 900_000_000, duration=QUARTER, wh_per_count=1, **how)

    stream = fresh()
    counts = numpy.array([[1, 2, 3, 4]])
    with pytest.raises(blondel.RangeError):
        stream.push(numpy.ones((1, 5), numpy.int64))
    with pytest.raises(blondel.FieldTypeError):
        stream.push(counts.astype(float))
    with pytest.raises(blondel.RangeError):
        stream.push(numpy.ones((2, 4), numpy.int64))
    with pytest.raises(blondel.FieldValueError):
        stream.push(counts, quality=numpy.array([[0, 0, 5, 0]], numpy.uint8))
    with pytest.raises(blondel.RangeError):
        stream.push(counts, into=numpy.zeros((2, 4), numpy.int64))
    with pytest.raises(blondel.StateError):
        stream.finish()
    with pytest.raises(blondel.RangeError):
        stream.push()
    assert stream.done == 0
    stream.push(counts[:, :2].astype(numpy.int16))
    stream.push(intervals=2)
    row = stream.finish()[0]
    assert (row.net, row.missing, row.measured) == (3, 2, 2)
    for wrong in ({"begin": 5, "end": 5}, {"quantum": -1}, {"first": -900_000_001}):
        with pytest.raises(blondel.RangeError):
            blondel.RollupStream(site, ["a"], **{"begin": 0, "end": 900_000_000, "duration": QUARTER,
                                                 "wh_per_count": 1, **wrong})
    with pytest.raises(blondel.DuplicateError):
        blondel.RollupStream(site, ["a", "a"], begin=0, end=900_000_000, duration=QUARTER, wh_per_count=1)
