// Intervals: from columns, from CSV as a whole and as a stream, and what can be asked of them.
#include "intervals.hpp"

#include <array>

namespace binding {

namespace {

struct Register {
    const char* name;
    bln_column bln_interval_columns::*column;
};
constexpr std::array<Register, 14> registers{{{"channel", &bln_interval_columns::channel},
                                              {"at", &bln_interval_columns::at},
                                              {"quality", &bln_interval_columns::quality},
                                              {"net_p", &bln_interval_columns::net_p},
                                              {"net_q", &bln_interval_columns::net_q},
                                              {"import_p", &bln_interval_columns::import_p},
                                              {"export_p", &bln_interval_columns::export_p},
                                              {"import_q", &bln_interval_columns::import_q},
                                              {"export_q", &bln_interval_columns::export_q},
                                              {"q1", &bln_interval_columns::q1},
                                              {"q2", &bln_interval_columns::q2},
                                              {"q3", &bln_interval_columns::q3},
                                              {"q4", &bln_interval_columns::q4},
                                              {"apparent", &bln_interval_columns::apparent}}};

Intervals intervals_new(const py::iterable& channels, const py::dict& columns, const py::tuple& rule_words,
                        const py::object& rule_of_registers) {
    const Ids ids(channels, "channel");
    const bln_interval_rule rule = rule_of(rule_words);
    std::vector<std::unique_ptr<Column>> held;
    bln_interval_columns row{};
    row.size = sizeof row;
    std::size_t n = 0;
    for (const Register& r : registers) {
        if (!columns.contains(r.name)) continue;
        held.push_back(std::make_unique<Column>(columns[r.name], r.name));
        const Column& column = *held.back();
        if (held.size() == 1) n = column.size();
        if (column.given() && column.size() != n)
            refuse(BLN_E_RANGE, std::string(r.name) + " has " + std::to_string(column.size()) +
                                    " items, and there are " + std::to_string(n) + " rows");
        row.*r.column = column.get();
    }
    Intervals intervals;
    if (rule_of_registers.is_none()) {
        call_unlocked([&](bln_error** err) {
            return bln_intervals_new(&rule, ids.data(), ids.size(), n, &row, intervals.out(), err);
        });
        return intervals;
    }
    const Bytes json(rule_of_registers);
    call_unlocked([&](bln_error** err) {
        return bln_intervals_new_registers(&rule, json.data(), json.size(), ids.data(), ids.size(), n, &row,
                                           intervals.out(), err);
    });
    return intervals;
}

Intervals intervals_wide(const py::iterable& channels, std::int32_t quantity, const py::object& at,
                         const py::list& counts, const py::object& quality, const py::tuple& rule_words) {
    const Ids ids(channels, "channel");
    const bln_interval_rule rule = rule_of(rule_words);
    const Column time(at, "at");
    std::vector<std::unique_ptr<Column>> held;
    const auto take = [&](const py::handle& list, const char* what) {
        std::vector<bln_column> out;
        for (const auto& item : list) {
            held.push_back(std::make_unique<Column>(py::reinterpret_borrow<py::object>(item), what));
            if (held.back()->given() && held.back()->size() != time.size())
                refuse(BLN_E_RANGE, std::string(what) + " of a channel has " + std::to_string(held.back()->size()) +
                                        " items, and there are " + std::to_string(time.size()) + " rows");
            out.push_back(held.back()->get());
        }
        if (out.size() != ids.size())
            refuse(BLN_E_RANGE, std::string(what) + " has " + std::to_string(out.size()) + " columns, and there are " +
                                    std::to_string(ids.size()) + " channels");
        return out;
    };
    const std::vector<bln_column> values = take(counts, "counts");
    const std::vector<bln_column> codes = quality.is_none() ? std::vector<bln_column>() : take(quality, "quality");
    Intervals intervals;
    call_unlocked([&](bln_error** err) {
        return bln_intervals_new_wide(&rule, quantity, ids.data(), ids.size(), time.size(), &time.get(), values.data(),
                                      codes.empty() ? nullptr : codes.data(), intervals.out(), err);
    });
    return intervals;
}

Intervals intervals_read(const py::object& csv, const py::object& map, const py::tuple& rule_words,
                         const py::object& max_bytes) {
    const Bytes bytes(csv);
    const bln_limits limits = to_limits(py::none(), max_bytes);
    const bln_interval_rule rule = rule_of(rule_words);
    Intervals intervals;
    if (map.is_none()) {
        call_unlocked([&](bln_error** err) {
            return bln_intervals_read_csv(&rule, bytes.data(), bytes.size(), &limits, intervals.out(), err);
        });
        return intervals;
    }
    const Bytes json(map);
    call_unlocked([&](bln_error** err) {
        return bln_intervals_read_csv_map(&rule, json.data(), json.size(), bytes.data(), bytes.size(), &limits,
                                          intervals.out(), err);
    });
    return intervals;
}

py::list intervals_notes(const Intervals& intervals) {
    py::list notes;
    for (std::size_t i = 0; i < bln_intervals_notes(intervals.get()); ++i) {
        bln_interval_note n{};
        n.size = sizeof n;
        call([&](bln_error** err) { return bln_intervals_note(intervals.get(), i, &n, err); });
        notes.append(py::make_tuple(n.kind, to_str(n.channel), n.quantity, n.from, n.to, n.before, n.after, n.energy));
    }
    return notes;
}

/// Fills the arrays that @p columns names; each an int64 array, a quantity with its bitmap beside it.
std::size_t reader_take(const Reader& reader, const py::dict& columns, std::size_t room) {
    std::vector<std::unique_ptr<OutColumn>> held;
    bln_interval_rows rows{};
    rows.size = sizeof rows;
    for (const auto& [key, pair] : columns) {
        const auto name = key.cast<std::string>();
        const auto two = pair.cast<py::tuple>();
        held.push_back(std::make_unique<OutColumn>(two[0], two[1]));
        if (held.back()->size() < room) refuse(BLN_E_RANGE, name + " is shorter than the room");
        const bln_out_column& into = held.back()->get();
        if (name == "channel")
            rows.channel = into;
        else if (name == "at")
            rows.at = into;
        else if (name == "line")
            rows.line = into;
        else if (name == "quality")
            rows.quality = into;
        else
            rows.quantity[static_cast<std::size_t>(quantity_number(name))] = into;
    }
    std::size_t taken = 0;
    call_unlocked([&](bln_error** err) { return bln_interval_reader_take(reader.get(), &rows, room, &taken, err); });
    return taken;
}

void bind_reader(py::module_& m) {
    py::class_<Reader>(m, "IntervalReader")
        .def(py::init([](const py::object& map, bool keep, const py::tuple& rule_words, const py::object& max_bytes) {
            const bln_interval_rule rule = rule_of(rule_words);
            Reader reader;
            bln_limits limits{};
            if (!max_bytes.is_none()) limits = to_limits(py::none(), max_bytes);
            const std::string empty;
            const std::unique_ptr<Bytes> json = map.is_none() ? nullptr : std::make_unique<Bytes>(map);
            call([&](bln_error** err) {
                return bln_interval_reader_new(&rule, json ? json->data() : nullptr, json ? json->size() : 0,
                                               keep ? 1 : 0, max_bytes.is_none() ? nullptr : &limits, reader.out(),
                                               err);
            });
            return reader;
        }))
        .def("push",
             [](const Reader& reader, const py::object& bytes) {
                 const Bytes block(bytes);
                 call_unlocked([&](bln_error** err) {
                     return bln_interval_reader_push(reader.get(), block.data(), block.size(), err);
                 });
             })
        .def("intervals",
             [](const Reader& reader) {
                 Intervals intervals;
                 call_unlocked(
                     [&](bln_error** err) { return bln_interval_reader_finish(reader.get(), intervals.out(), err); });
                 return intervals;
             })
        .def("finish",
             [](const Reader& reader) {
                 call([&](bln_error** err) { return bln_interval_reader_finish(reader.get(), nullptr, err); });
             })
        .def("take", &reader_take)
        .def("check",
             [](const Reader& reader) {
                 call([&](bln_error** err) { return bln_interval_reader_check(reader.get(), err); });
             })
        .def("refused", [](const Reader& reader) { return bln_interval_reader_refused(reader.get()); })
        .def("channels", [](const Reader& reader) {
            const std::size_t n = bln_interval_reader_channels(reader.get());
            py::tuple ids(n);
            for (std::size_t i = 0; i < n; ++i) ids[i] = to_str(bln_interval_reader_channel(reader.get(), i));
            return ids;
        });
}

}  // namespace

bln_interval_rule rule_of(const py::tuple& words) {
    bln_interval_rule rule{};
    rule.size = sizeof rule;
    rule.stamp = words[0].cast<std::int32_t>();
    rule.duration = to_int64(words[1], "duration");
    const auto [num, den] = to_ratio(words[2], "wh_per_count");
    rule.wh_num = num;
    rule.wh_den = den;
    rule.read_from = words[3].cast<std::int32_t>();
    return rule;
}

std::int32_t quantity_number(const std::string& name) {
    for (std::size_t i = 3; i < registers.size(); ++i)
        if (registers[i].name == name) return static_cast<std::int32_t>(i) - 3;
    refuse(BLN_E_NAME, "there is no quantity " + name);
}

void bind_intervals(py::module_& m) {
    m.attr("STAMP") = py::dict(py::arg("start") = static_cast<int>(BLN_STAMP_START),
                               py::arg("end") = static_cast<int>(BLN_STAMP_END));
    m.attr("READ_FROM") = py::dict(py::arg("device") = static_cast<int>(BLN_READ_FROM_DEVICE),
                                   py::arg("head_end") = static_cast<int>(BLN_READ_FROM_HEAD_END),
                                   py::arg("billing") = static_cast<int>(BLN_READ_FROM_BILLING));
    m.attr("NOTE") = py::dict(py::arg("conflict") = static_cast<int>(BLN_NOTE_CONFLICT),
                              py::arg("rollover") = static_cast<int>(BLN_NOTE_ROLLOVER),
                              py::arg("jitter") = static_cast<int>(BLN_NOTE_JITTER),
                              py::arg("exchange") = static_cast<int>(BLN_NOTE_EXCHANGE),
                              py::arg("gap") = static_cast<int>(BLN_NOTE_GAP),
                              py::arg("backwards") = static_cast<int>(BLN_NOTE_BACKWARDS),
                              py::arg("too_fast") = static_cast<int>(BLN_NOTE_TOO_FAST),
                              py::arg("too_long") = static_cast<int>(BLN_NOTE_TOO_LONG),
                              py::arg("cut_off") = static_cast<int>(BLN_NOTE_CUT_OFF));
    py::dict quantities;
    for (std::size_t i = 3; i < registers.size(); ++i) quantities[registers[i].name] = static_cast<int>(i) - 3;
    m.attr("QUANTITY") = quantities;
    py::class_<Intervals>(m, "Intervals")
        .def(py::init(&intervals_new))
        .def_static("wide", &intervals_wide)
        .def_static("read_csv", &intervals_read)
        .def_static("arrow", &intervals_from_arrow)
        .def("channels",
             [](const Intervals& intervals) {
                 const std::size_t n = bln_intervals_channels(intervals.get());
                 py::tuple ids(n);
                 for (std::size_t i = 0; i < n; ++i) ids[i] = to_str(bln_intervals_channel(intervals.get(), i));
                 return ids;
             })
        .def("series",
             [](const Intervals& intervals, std::size_t channel, std::int32_t quantity, const py::object& into,
                const py::object& validity) {
                 const OutColumn column(into, validity);
                 call_unlocked([&](bln_error** err) {
                     return bln_intervals_series(intervals.get(), channel, quantity, &column.get(), column.size(), err);
                 });
             })
        .def("quality",
             [](const Intervals& intervals, std::size_t channel) {
                 std::vector<std::uint8_t> codes(bln_intervals_count(intervals.get()));
                 call([&](bln_error** err) {
                     return bln_intervals_quality(intervals.get(), channel, codes.data(), codes.size(), err);
                 });
                 return py::bytes(reinterpret_cast<const char*>(codes.data()), codes.size());
             })
        .def("arrival",
             [](const Intervals& intervals, std::size_t channel) {
                 bln_interval_arrival a{};
                 a.size = sizeof a;
                 call([&](bln_error** err) { return bln_intervals_arrival(intervals.get(), channel, &a, err); });
                 return py::make_tuple(a.rows, a.repeated, a.out_of_order);
             })
        .def("notes", &intervals_notes)
        .def("count", [](const Intervals& intervals) { return bln_intervals_count(intervals.get()); })
        .def("first", [](const Intervals& intervals) { return bln_intervals_first(intervals.get()); });
    bind_reader(m);
}

}  // namespace binding
