"""Input of energy against general-purpose libraries: Arrow tables, streams, market files, a household's year."""

import datetime
import os
import pathlib
import re
import xml.etree.ElementTree as ElementTree

import numpy
import pytest

import blondel

QUARTER = datetime.timedelta(minutes=15)
HEAD = "channel,start,net_p\n"


def data(folder):
    root = os.environ.get("BLONDEL_DATA")
    if not root:
        pytest.skip("BLONDEL_DATA not set")
    return pathlib.Path(root) / folder


def test_the_guide_runs(root):
    text = (root / "docs/guides/energy-input.md").read_text()
    blocks = re.findall(r"```python\n(.*?)```", text, re.S)
    assert len(blocks) >= 4
    names = {}
    for block in blocks:
        exec(compile(block, "energy-input.md", "exec"), names)


def table(rows=200):
    at = numpy.repeat(numpy.arange(rows, dtype="i8"), 2) * 900_000_000
    ids = ["a", "channel-with-a-longer-name"] * rows
    counts = numpy.arange(2 * rows, dtype="i8") * 7 - 300
    return at, ids, counts


@pytest.mark.parametrize("kind", ["pyarrow", "batches", "dictionary", "sliced", "polars", "categorical"])
def test_arrow_tables_read_as_the_columns_they_hold(kind):
    at, ids, counts = table()
    valid = numpy.arange(len(counts)) % 5 != 0
    if kind in ("polars", "categorical"):
        pl = pytest.importorskip("polars")
        frame = pl.DataFrame({"channel": ids, "start": at,
                              "net_p": [int(c) if v else None for c, v in zip(counts, valid)]})
        frame = frame.with_columns(pl.from_epoch("start", time_unit="us").dt.replace_time_zone("UTC"))
        if kind == "categorical":
            frame = frame.with_columns(pl.col("channel").cast(pl.Categorical))
    else:
        pa = pytest.importorskip("pyarrow")
        names = pa.array(ids)
        frame = pa.table({"channel": names.dictionary_encode() if kind == "dictionary" else names,
                          "start": pa.array(at, pa.timestamp("us", tz="UTC")),
                          "net_p": pa.array(counts, mask=~valid)})
        if kind == "batches":
            frame = pa.concat_tables([frame.slice(0, 111), frame.slice(111)])
        if kind == "sliced":
            at, ids, counts, valid = at[6:], ids[6:], counts[6:], valid[6:]
            frame = frame.slice(6)
    x = blondel.Intervals.from_arrow(frame, duration=QUARTER, wh_per_count=1)
    assert x.first == at[0]
    for which, name in enumerate(("a", "channel-with-a-longer-name")):
        got, there = x.series(name)
        assert (there == valid[which::2]).all()
        assert (got[there] == counts[which::2][there]).all()


def test_arrow_wide_table_and_refusals():
    pa = pytest.importorskip("pyarrow")
    at = pa.array([0, 900_000_000], pa.timestamp("us", tz="Europe/Berlin"))
    wide = pa.table({"at": at, "a": pa.array([1, 2], pa.int32()), "b": pa.array([3, None])})
    x = blondel.Intervals.from_arrow(wide, duration=QUARTER, wh_per_count=1, wide="import_p")
    assert list(x.series("a", "import_p")[0]) == [1, 2]
    assert list(x.series("b", "import_p")[1]) == [True, False]
    for broken, error in (({"at": at.cast(pa.timestamp("us"))}, blondel.FieldTypeError),
                          ({"at": at.cast(pa.timestamp("ns", tz="UTC"))}, blondel.UnitError),
                          ({"at": at, "a": pa.array([0.5, 1])}, blondel.FieldTypeError)):
        with pytest.raises(error):
            blondel.Intervals.from_arrow(pa.table(broken), duration=QUARTER, wh_per_count=1, wide="net_p")
    with pytest.raises(blondel.FieldTypeError):
        blondel.Intervals.from_arrow([1, 2], duration=QUARTER, wh_per_count=1)


def test_wide_columns_and_quality():
    at = numpy.arange(4, dtype="i8") * 900_000_000
    counts = numpy.arange(8, dtype="i8").reshape(4, 2)
    codes = numpy.array([0, 8, 8, 10], "u1")
    x = blondel.Intervals.wide(["a", "b"], "net_q", at=at, counts=[counts[:, 0], counts[:, 1]],
                               quality=[codes, codes[::-1].copy()], duration=QUARTER, wh_per_count=1)
    assert list(x.series("b", "net_q")[0]) == [1, 3, 5, 7]
    assert list(x.quality("a")) == [0, 8, 8, 10]
    with pytest.raises(blondel.Error) as e:
        blondel.Intervals.wide(["a"], "net_q", at=at, counts=[counts[:, 0]], quality=[codes + 1], duration=QUARTER,
                               wh_per_count=1)
    assert e.value.items[0].line == 1


def test_a_stream_needs_no_more_memory_when_it_is_longer():
    resource = pytest.importorskip("resource")
    reader = blondel.IntervalReader(duration=QUARTER, wh_per_count=1, keep=False)
    block = "".join(f"c{k % 50},2026-03-01T00:00:00Z,{k}\n" for k in range(5000)).encode()
    reader.push(HEAD)
    blocks = 2000 if os.environ.get("BLONDEL_LONG") else 60

    def run(n):
        total = 0
        for _ in range(n):
            reader.push(block)
            for rows in reader.rows("net_p"):
                total += int(rows["net_p"].sum())
        return total

    assert run(5) == 5 * sum(range(5000))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert run(blocks) == blocks * sum(range(5000))
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 4096  # KiB
    assert len(reader.channels) == 50


NEM_QUANTITY = {"E": "import_p", "B": "export_p", "Q": "import_q", "K": "export_q"}
# Quality flags of the market's file format to ESPI codes: actual, substituted and final substituted, estimated.
NEM_QUALITY = {"A": "valid", "S": "estimated_reference_day", "F": "manually_edited", "E": "estimated_interpolated",
               "N": "questionable"}


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # the other reader leaves a file open
@pytest.mark.parametrize("name", ["multiple_quality", "substituted_interval", "different_interval_length"])
def test_market_interval_files_to_the_last_count(name):
    path = data("nem12") / f"Example_NEM12_{name}.csv"
    nemreader = pytest.importorskip("nemreader")
    read = nemreader.read_nem_file(str(path))
    checked = 0
    for nmi, channels in read.readings.items():
        for suffix, readings in channels.items():
            quantity = NEM_QUANTITY.get(suffix[0])
            if quantity is None:
                continue
            duration = readings[0].t_end - readings[0].t_start
            rows = [f"{nmi}.{suffix},{r.t_start.isoformat()}Z,{r.read_value:.3f},{r.quality_method[0]}" for r in readings
                    if r.t_end - r.t_start == duration]
            text = "channel,start,energy,flag\n" + "\n".join(rows) + "\n"
            x = blondel.Intervals.read_csv(text, duration=duration, wh_per_count=1, map={
                "wh_per_unit": 1000, "quality": NEM_QUALITY,
                "columns": {"channel": "channel", "start": "start", "energy": quantity, "flag": "quality"}})
            # The same file without the reader, digit by digit.
            counts, there = x.series(0, quantity)
            assert there.sum() == len(rows)
            assert int(counts.sum()) == sum(round(r.read_value * 1000) for r in readings if r.t_end - r.t_start == duration)
            want = [dict(A=0, S=8, F=7, E=9, N=10)[r.quality_method[0]] for r in readings
                    if r.t_end - r.t_start == duration]
            assert list(x.quality(0)[there]) == want
            checked += len(rows)
    assert checked >= 48


def test_a_year_of_a_household_in_espi():
    tree = ElementTree.parse(data("espi") / "sample_greenbutton_data.xml")
    space = "{http://naesb.org/espi}"
    rows, total = [], 0
    for reading in tree.iter(space + "IntervalReading"):
        period = reading.find(space + "timePeriod")
        if int(period.find(space + "duration").text) != 3600:
            continue
        value = int(reading.find(space + "value").text)
        rows.append(f"home,{period.find(space + 'start').text},{value}")
        total += value
    assert len(rows) > 200
    x = blondel.Intervals.read_csv("channel,start,import_p\n" + "\n".join(rows), duration=datetime.timedelta(hours=1),
                                   wh_per_count=1, map={"time": "epoch_seconds"})
    counts, there = x.series("home", "import_p")
    assert int(counts.sum()) == total
    assert x.notes[-1].kind == "cut_off"
