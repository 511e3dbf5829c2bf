"""DataFrames in and out. pandas is imported when one is asked for."""

from __future__ import annotations

from fractions import Fraction

from ._table import fields


def _pandas():
    import pandas

    return pandas


def collection_frame(collection):
    pandas = _pandas()
    rows = {id: entity.as_dict() for id, entity in collection.items()}
    used = [name for name in fields(collection.kind) if any(name in row for row in rows.values())]
    frame = pandas.DataFrame({name: [row.get(name) for row in rows.values()] for name in used}, index=list(rows))
    frame.index.name = collection.kind
    return frame


def report_frame(report):
    pandas = _pandas()
    rows = [
        {
            "code": f.code,
            "severity": f.severity,
            "verdict": f.verdict,
            "subject": f"{f.subjects[0].kind}:{f.subjects[0].id}" if f.subjects else "",
            "title": f.title(),
            "text": f.text(),
            "action": f.action(),
            "pointer": f.pointer,
            "identity": f.identity,
        }
        for f in report
    ]
    columns = ["code", "severity", "verdict", "subject", "title", "text", "action", "pointer", "identity"]
    return pandas.DataFrame(rows, columns=columns)


def _plain(type, value):
    """NumPy's and pandas' scalars as the Python value that a setter takes."""
    if type == "boolean" and hasattr(value, "item"):
        return value.item()
    if type == "integer" and isinstance(value, float) and value.is_integer():
        return int(value)  # a column of integers with gaps arrives as float
    if type in ("terms", "passes", "rational") and isinstance(value, str):
        return Fraction(value)
    if hasattr(value, "to_pydatetime"):
        return value.to_pydatetime()
    return value


def _missing(pandas, value):
    # Lists, mappings and arrays are values; asking whether each item is missing makes no sense.
    return value is None or (pandas.api.types.is_scalar(value) and pandas.isna(value))


def add_rows(handle, kind, frame):
    from .errors import ExistsError

    pandas = _pandas()
    table = fields(kind)
    for id, row in zip(frame.index, frame.itertuples(index=False, name=None)):
        try:
            handle.add(kind, id)
        except ExistsError:
            pass
        for column, value in zip(frame.columns, row):
            if not _missing(pandas, value):
                handle.set(kind, id, column, _plain(table[column].type if column in table else "", value), None)


def rows_frame(rows, type, index):
    pandas = _pandas()
    frame = pandas.DataFrame.from_records(rows, columns=type._fields)
    return frame if index is None else frame.set_index(index)


def interval_columns(frame):
    import numpy

    from ._columns import Column
    from .errors import FieldTypeError, UnknownFieldError

    pandas = _pandas()
    known = ("channel", "at", "net_p", "net_q", "import_p", "export_p")
    for name in frame.columns:
        if name not in known:
            raise UnknownFieldError(f"an interval frame has no column {name}; it has {', '.join(known)}")
    codes, ids = pandas.factorize(frame["channel"])
    at = frame["at"]
    if at.dt.tz is None:
        raise FieldTypeError("at holds datetimes without a time zone, which name no instant")
    given = {"channel": codes.astype(numpy.int64),
             "at": at.dt.tz_convert("UTC").dt.tz_localize(None).to_numpy("datetime64[us]").view("i8")}
    for name in known[2:]:
        if name not in frame.columns:
            continue
        counts = frame[name]
        if not pandas.api.types.is_integer_dtype(counts.dtype):
            raise FieldTypeError(f"{name} is {counts.dtype}; counts are exact, so integers (Int64 where some are missing)")
        valid = counts.notna().to_numpy(bool)
        given[name] = Column(counts.fillna(0).to_numpy(numpy.int64), valid)
    return [str(id) for id in ids], given
