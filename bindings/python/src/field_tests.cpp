// What is known before power is on: expected readings, phase test, tracing.
#include <memory>

#include "columns.hpp"
#include "limits.hpp"

namespace binding {

namespace {

inline void free_expect(bln_expect* e) { bln_expect_free(e); }
inline void free_phase_test(bln_phase_test* t) { bln_phase_test_free(t); }
using Expect = Handle<bln_expect, free_expect>;
using PhaseTest = Handle<bln_phase_test, free_phase_test>;
inline void free_trace(bln_trace* t) { bln_trace_free(t); }
inline void free_trace_result(bln_trace_result* t) { bln_trace_result_free(t); }
using Trace = Handle<bln_trace, free_trace>;
using TraceResult = Handle<bln_trace_result, free_trace_result>;

const bln_policy* or_null(const Policy* policy) { return policy == nullptr ? nullptr : policy->get(); }

py::list expect_rows(const Expect& expect) {
    py::list rows;
    for (std::size_t i = 0; i < bln_expect_count(expect.get()); ++i) {
        bln_expect_row r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_expect_at(expect.get(), i, &r, err); });
        const bool known = r.state == BLN_EXPECT_KNOWN;
        const auto number = [&](double v) -> py::object {
            if (!known) return py::none();
            return py::float_(v);
        };
        py::list row;
        row.append(r.state);
        for (const char* text : {r.channel, r.device, r.circuit, r.point, r.conductors, r.reference, r.load, r.why})
            row.append(to_str(text));
        row.append(r.input);
        row.append(r.flags);
        row.append(known ? py::object(py::int_(r.sign)) : py::object(py::none()));
        row.append(known ? py::object(py::int_(r.least_by)) : py::object(py::none()));
        row.append(known ? py::object(py::int_(r.load_phases)) : py::object(py::none()));
        for (const double v : {r.offset_low_deg, r.offset_high_deg, r.angle_low_deg, r.angle_high_deg, r.heater_low_deg,
                               r.heater_high_deg, r.volts, r.volts_low, r.volts_high, r.gate_amps, r.least_amps,
                               r.least_watts, r.load_volts})
            row.append(number(v));
        rows.append(row);
    }
    return rows;
}

py::list phase_rows(const PhaseTest& test) {
    py::list rows;
    for (std::size_t i = 0; i < bln_phase_test_count(test.get()); ++i) {
        bln_phase_row r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_phase_test_at(test.get(), i, &r, err); });
        rows.append(py::make_tuple(r.verdict, to_str(r.conductor), to_str(r.circuit), to_str(r.panel), to_str(r.phase),
                                   to_str(r.candidates), to_str(r.recorded), r.cause, to_str(r.cause_text),
                                   to_str(r.detail), to_str(r.next), to_str(r.next_reference), r.space, r.pole,
                                   r.readings, r.drop_volts));
    }
    return rows;
}

py::list panel_rows(const PhaseTest& test) {
    py::list rows;
    for (std::size_t i = 0; i < bln_phase_test_panel_count(test.get()); ++i) {
        bln_phase_panel r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_phase_test_panel_at(test.get(), i, &r, err); });
        rows.append(py::make_tuple(r.verdict, to_str(r.panel), to_str(r.recorded), to_str(r.measured), to_str(r.next),
                                   r.offset, r.reversed != 0, r.tested, r.agree));
    }
    return rows;
}

PhaseTest phase_test(const View& view, const py::object& service, const py::iterable& conductors,
                     const py::iterable& references, const py::object& volts, const Policy* policy) {
    const Ids from(conductors, "conductor"), to(references, "reference");
    const Column column(volts, "volts");
    if (to.size() != from.size() || column.size() != from.size())
        refuse(BLN_E_RANGE, "there are " + std::to_string(from.size()) + " conductors, " + std::to_string(to.size()) +
                                " references and " + std::to_string(column.size()) + " voltages");
    const CText id(service.is_none() ? py::object(py::str("")) : service, "service");
    PhaseTest test;
    call_unlocked([&](bln_error** err) {
        return bln_phase_test_new(view.get(), service.is_none() ? nullptr : id.get(), from.size(), from.data(),
                                  to.data(), &column.get(), or_null(policy), test.out(), err);
    });
    return test;
}

PhaseTest phase_test_csv(const View& view, const py::object& service, const py::object& csv,
                         const py::object& max_bytes, const Policy* policy) {
    const Bytes bytes(csv);
    const bln_limits limits = to_limits(py::none(), max_bytes);
    const CText id(service.is_none() ? py::object(py::str("")) : service, "service");
    PhaseTest test;
    call_unlocked([&](bln_error** err) {
        return bln_phase_test_read_csv(view.get(), service.is_none() ? nullptr : id.get(), bytes.data(), bytes.size(),
                                       &limits, or_null(policy), test.out(), err);
    });
    return test;
}

Trace trace_new(const py::iterable& ids, const std::vector<std::int32_t>& poles, const std::vector<std::int32_t>& rules,
                std::int32_t check, std::uint64_t most_off) {
    const Ids names(ids, "breaker");
    if (poles.size() != names.size() || rules.size() != names.size())
        refuse(BLN_E_RANGE, "there are " + std::to_string(names.size()) + " breakers, " + std::to_string(poles.size()) +
                                " numbers of poles and " + std::to_string(rules.size()) + " rules");
    const bln_trace_options options{sizeof options, check, most_off};
    Trace trace;
    call_unlocked([&](bln_error** err) {
        return bln_trace_new(names.size(), names.data(), poles.data(), rules.data(), &options, trace.out(), err);
    });
    return trace;
}

Trace trace_of_view(const View& view, const py::object& panel, std::int32_t check, std::uint64_t most_off) {
    const CText id(panel.is_none() ? py::object(py::str("")) : panel, "panel");
    const bln_trace_options options{sizeof options, check, most_off};
    Trace trace;
    call_unlocked([&](bln_error** err) {
        return bln_trace_of_view(view.get(), panel.is_none() ? nullptr : id.get(), &options, trace.out(), err);
    });
    return trace;
}

py::tuple trace_about(const Trace& trace) {
    bln_trace_info r{};
    r.size = sizeof r;
    call([&](bln_error** err) { return bln_trace_about(trace.get(), &r, err); });
    return py::make_tuple(r.steps, r.least_steps, r.most_off, r.distance, r.traced);
}

py::list trace_rows(const Trace& trace) {
    py::list rows;
    for (std::size_t i = 0; i < bln_trace_count(trace.get()); ++i) {
        bln_trace_breaker r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_trace_at(trace.get(), i, &r, err); });
        rows.append(py::make_tuple(to_str(r.id), r.poles, r.rule, to_str(r.word), to_str(r.why)));
    }
    return rows;
}

TraceResult trace_decode(const Trace& trace, const View* view, const py::iterable& channels, const py::object& step,
                         const py::object& before, const py::object& off, const py::object& noise, const Policy* policy) {
    const Ids ids(channels, "channel");
    const Column s(step, "step"), b(before, "before"), o(off, "off"), n(noise, "noise");
    for (const Column* c : {&s, &b, &o, &n})
        if (c->given() && c->size() != ids.size())
            refuse(BLN_E_RANGE, "there are " + std::to_string(ids.size()) + " channels, and a column of " +
                                    std::to_string(c->size()) + " items");
    const bln_trace_columns columns{sizeof columns, 0, s.get(), b.get(), o.get(), n.get()};
    TraceResult result;
    call_unlocked([&](bln_error** err) {
        return bln_trace_decode(trace.get(), view == nullptr ? nullptr : view->get(), ids.size(), ids.data(), &columns,
                                or_null(policy), result.out(), err);
    });
    return result;
}

TraceResult trace_decode_csv(const Trace& trace, const View* view, const py::object& csv, const py::object& max_bytes,
                             const Policy* policy) {
    const Bytes bytes(csv);
    const bln_limits limits = to_limits(py::none(), max_bytes);
    TraceResult result;
    call_unlocked([&](bln_error** err) {
        return bln_trace_decode_csv(trace.get(), view == nullptr ? nullptr : view->get(), bytes.data(), bytes.size(),
                                    &limits, or_null(policy), result.out(), err);
    });
    return result;
}

py::list trace_result_rows(const TraceResult& result) {
    py::list rows;
    for (std::size_t i = 0; i < bln_trace_result_count(result.get()); ++i) {
        bln_trace_row r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_trace_result_at(result.get(), i, &r, err); });
        rows.append(py::make_tuple(r.verdict, to_str(r.channel), to_str(r.breaker), to_str(r.second), to_str(r.read),
                                   r.cause, to_str(r.cause_text), r.steps, r.wrong_steps, r.nats, r.probability, r.share,
                                   r.amps));
    }
    return rows;
}

py::str trace_natural(const py::iterable& channels, const py::iterable& amps, const py::iterable& circuits,
                      const std::vector<std::uint64_t>& at, const Policy* policy) {
    const Ids ids(channels, "channel"), seen(circuits, "circuit");
    if (at.size() != seen.size()) refuse(BLN_E_RANGE, "every event has a circuit and a sample");
    std::vector<std::unique_ptr<Column>> held;
    std::vector<bln_column> columns;
    for (const auto& column : amps) {
        held.push_back(std::make_unique<Column>(py::reinterpret_borrow<py::object>(column), "amps"));
        columns.push_back(held.back()->get());
        if (held.back()->size() != held.front()->size()) refuse(BLN_E_RANGE, "the columns differ in length");
    }
    if (columns.size() != ids.size())
        refuse(BLN_E_RANGE, "there are " + std::to_string(ids.size()) + " channels and " +
                                std::to_string(columns.size()) + " columns");
    const std::size_t samples = held.empty() ? 0 : held.front()->size();
    return text_from([&](bln_text** out, bln_error** err) {
        return bln_trace_natural(ids.size(), ids.data(), samples, columns.data(), at.size(), seen.data(), at.data(),
                                 or_null(policy), out, err);
    });
}

void bind_trace(py::module_& m) {
    m.attr("SWITCH") = py::dict(py::arg("may") = static_cast<int>(BLN_SWITCH_MAY),
                                py::arg("ask") = static_cast<int>(BLN_SWITCH_ASK),
                                py::arg("never") = static_cast<int>(BLN_SWITCH_NEVER));
    m.attr("TRACE_CHECK") = py::dict(py::arg("plain") = static_cast<int>(BLN_TRACE_PLAIN),
                                     py::arg("detect") = static_cast<int>(BLN_TRACE_DETECT),
                                     py::arg("correct") = static_cast<int>(BLN_TRACE_CORRECT));
    m.attr("TRACED") = py::dict(py::arg("contradictory") = static_cast<int>(BLN_TRACED_CONTRADICTORY),
                                py::arg("undecided") = static_cast<int>(BLN_TRACED_UNDECIDED),
                                py::arg("not_proven") = static_cast<int>(BLN_TRACED_NOT_PROVEN),
                                py::arg("not_among") = static_cast<int>(BLN_TRACED_NOT_AMONG),
                                py::arg("likely") = static_cast<int>(BLN_TRACED_LIKELY),
                                py::arg("proven") = static_cast<int>(BLN_TRACED_PROVEN));
    m.attr("TRACE_CAUSE") = py::dict(py::arg("none") = static_cast<int>(BLN_TRACE_CAUSE_NONE),
                                     py::arg("no_load") = static_cast<int>(BLN_TRACE_CAUSE_NO_LOAD),
                                     py::arg("no_word") = static_cast<int>(BLN_TRACE_CAUSE_NO_WORD),
                                     py::arg("two_breakers") = static_cast<int>(BLN_TRACE_CAUSE_TWO_BREAKERS),
                                     py::arg("partly") = static_cast<int>(BLN_TRACE_CAUSE_PARTLY),
                                     py::arg("corrected") = static_cast<int>(BLN_TRACE_CAUSE_CORRECTED),
                                     py::arg("too_little") = static_cast<int>(BLN_TRACE_CAUSE_TOO_LITTLE),
                                     py::arg("too_many") = static_cast<int>(BLN_TRACE_CAUSE_TOO_MANY));
    py::class_<Trace>(m, "Trace")
        .def(py::init(&trace_new))
        .def_static("of_view", &trace_of_view)
        .def("about", &trace_about)
        .def("rows", &trace_rows)
        .def("json",
             [](const Trace& t) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_trace_json(t.get(), out, err); });
             })
        .def("text",
             [](const Trace& t) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_trace_text(t.get(), out, err); });
             })
        .def("decode", &trace_decode)
        .def("decode_csv", &trace_decode_csv);
    py::class_<TraceResult>(m, "TraceResult")
        .def("rows", &trace_result_rows)
        .def("report",
             [](const TraceResult& result) {
                 Report report;
                 call([&](bln_error** err) { return bln_trace_result_report(result.get(), report.out(), err); });
                 return report;
             })
        .def("text", [](const TraceResult& r) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_trace_result_text(r.get(), out, err); });
        });
    m.def("trace_natural", &trace_natural);
}

}  // namespace

void bind_field_tests(py::module_& m) {
    bind_trace(m);
    m.attr("EXPECT") = py::dict(py::arg("known") = static_cast<int>(BLN_EXPECT_KNOWN),
                                py::arg("zero_volts") = static_cast<int>(BLN_EXPECT_ZERO_VOLTS),
                                py::arg("no_current") = static_cast<int>(BLN_EXPECT_NO_CURRENT),
                                py::arg("unknown") = static_cast<int>(BLN_EXPECT_UNKNOWN));
    m.attr("EXPECT_FLAG") =
        py::dict(py::arg("rotation_assumed") = static_cast<int>(BLN_EXPECT_ROTATION_ASSUMED),
                 py::arg("direction_assumed") = static_cast<int>(BLN_EXPECT_DIRECTION_ASSUMED),
                 py::arg("ratio_assumed") = static_cast<int>(BLN_EXPECT_RATIO_ASSUMED),
                 py::arg("neutral_assumed") = static_cast<int>(BLN_EXPECT_NEUTRAL_ASSUMED),
                 py::arg("class_unknown") = static_cast<int>(BLN_EXPECT_CLASS_UNKNOWN),
                 py::arg("class_silent") = static_cast<int>(BLN_EXPECT_CLASS_SILENT),
                 py::arg("beyond_breaker") = static_cast<int>(BLN_EXPECT_BEYOND_BREAKER),
                 py::arg("beyond_heater") = static_cast<int>(BLN_EXPECT_BEYOND_HEATER),
                 py::arg("service_assumed") = static_cast<int>(BLN_EXPECT_SERVICE_ASSUMED),
                 py::arg("terminals_assumed") = static_cast<int>(BLN_EXPECT_TERMINALS_ASSUMED));
    m.attr("LEAST_BY") = py::dict(py::arg("rating") = static_cast<int>(BLN_LEAST_BY_RATING),
                                  py::arg("floor") = static_cast<int>(BLN_LEAST_BY_FLOOR),
                                  py::arg("noise") = static_cast<int>(BLN_LEAST_BY_NOISE),
                                  py::arg("power") = static_cast<int>(BLN_LEAST_BY_POWER),
                                  py::arg("class") = static_cast<int>(BLN_LEAST_BY_CLASS));
    m.attr("PHASE") = py::dict(py::arg("impossible") = static_cast<int>(BLN_PHASE_IMPOSSIBLE),
                               py::arg("ambiguous") = static_cast<int>(BLN_PHASE_AMBIGUOUS),
                               py::arg("not_tested") = static_cast<int>(BLN_PHASE_NOT_TESTED),
                               py::arg("likely") = static_cast<int>(BLN_PHASE_LIKELY),
                               py::arg("proven") = static_cast<int>(BLN_PHASE_PROVEN));
    m.attr("PHASE_CAUSE") = py::dict(py::arg("none") = static_cast<int>(BLN_PHASE_CAUSE_NONE),
                                     py::arg("dead") = static_cast<int>(BLN_PHASE_CAUSE_DEAD),
                                     py::arg("zero_alone") = static_cast<int>(BLN_PHASE_CAUSE_ZERO_ALONE),
                                     py::arg("tied") = static_cast<int>(BLN_PHASE_CAUSE_TIED),
                                     py::arg("floating") = static_cast<int>(BLN_PHASE_CAUSE_FLOATING),
                                     py::arg("displaced") = static_cast<int>(BLN_PHASE_CAUSE_DISPLACED),
                                     py::arg("third_phase") = static_cast<int>(BLN_PHASE_CAUSE_THIRD_PHASE),
                                     py::arg("other_system") = static_cast<int>(BLN_PHASE_CAUSE_OTHER_SYSTEM),
                                     py::arg("contradiction") = static_cast<int>(BLN_PHASE_CAUSE_CONTRADICTION),
                                     py::arg("unexplained") = static_cast<int>(BLN_PHASE_CAUSE_UNEXPLAINED));
    m.attr("PANEL") = py::dict(py::arg("mixed") = static_cast<int>(BLN_PANEL_MIXED),
                               py::arg("rotated") = static_cast<int>(BLN_PANEL_ROTATED),
                               py::arg("undecided") = static_cast<int>(BLN_PANEL_UNDECIDED),
                               py::arg("not_tested") = static_cast<int>(BLN_PANEL_NOT_TESTED),
                               py::arg("as_recorded") = static_cast<int>(BLN_PANEL_AS_RECORDED));
    py::class_<Expect>(m, "Expect")
        .def(py::init([](const View& view, const Policy* policy) {
            Expect expect;
            call_unlocked(
                [&](bln_error** err) { return bln_expect_new(view.get(), or_null(policy), expect.out(), err); });
            return expect;
        }))
        .def("rows", &expect_rows)
        .def("text",
             [](const Expect& e) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_expect_text(e.get(), out, err); });
             })
        .def("csv", [](const Expect& e) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_expect_csv(e.get(), out, err); });
        });
    py::class_<PhaseTest>(m, "PhaseTest")
        .def("rows", &phase_rows)
        .def("panels", &panel_rows)
        .def("report",
             [](const PhaseTest& test) {
                 Report report;
                 call([&](bln_error** err) { return bln_phase_test_report(test.get(), report.out(), err); });
                 return report;
             })
        .def("text", [](const PhaseTest& t) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_phase_test_text(t.get(), out, err); });
        });
    m.def("phase_test", &phase_test);
    m.def("phase_test_csv", &phase_test_csv);
    m.def("phase_test_sheet", [](const View& view, const py::object& panel) {
        const CText id(panel, "panel");
        return text_from([&](bln_text** out, bln_error** err) {
            return bln_phase_test_sheet(view.get(), id.get(), out, err);
        });
    });
}

}  // namespace binding
