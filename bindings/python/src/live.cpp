// Readings, and what they say about the wiring.
#include <array>

#include "columns.hpp"
#include "limits.hpp"

namespace binding {

namespace {

struct Quantity {
    const char* name;
    bln_column bln_readings_columns::*column;
};
constexpr std::array<Quantity, 8> quantities{{{"at", &bln_readings_columns::at},
                                              {"volts", &bln_readings_columns::volts},
                                              {"amps", &bln_readings_columns::amps},
                                              {"watts", &bln_readings_columns::watts},
                                              {"vars", &bln_readings_columns::vars},
                                              {"volt_amps", &bln_readings_columns::volt_amps},
                                              {"power_factor", &bln_readings_columns::power_factor},
                                              {"angle_deg", &bln_readings_columns::angle_deg}}};

void same_length(const Column& column, const char* name, std::size_t n) {
    if (column.given() && column.size() != n)
        refuse(BLN_E_RANGE, std::string(name) + " has " + std::to_string(column.size()) + " items, and there are " +
                                std::to_string(n) + " rows");
}

Readings readings_new(const py::iterable& channels, const py::dict& columns, std::int32_t angle, std::int32_t factor) {
    const Ids ids(channels, "channel");
    std::vector<std::unique_ptr<Column>> held;
    bln_readings_columns row{};
    row.size = sizeof row;
    row.angle_convention = angle;
    row.power_factor_convention = factor;
    for (const Quantity& q : quantities) {
        if (!columns.contains(q.name)) continue;
        held.push_back(std::make_unique<Column>(columns[q.name], q.name));
        same_length(*held.back(), q.name, ids.size());
        row.*q.column = held.back()->get();
    }
    Readings readings;
    call_unlocked([&](bln_error** err) { return bln_readings_new(ids.size(), ids.data(), &row, readings.out(), err); });
    return readings;
}

py::object number_if(bool given, double value) {
    return given ? py::object(py::float_(value)) : py::object(py::none());
}

py::list channel_rows(const Live& live) {
    py::list rows;
    for (std::size_t i = 0; i < bln_live_channel_count(live.get()); ++i) {
        bln_live_channel r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_live_channel_at(live.get(), i, &r, err); });
        rows.append(py::make_tuple(r.proof, to_str(r.channel), to_str(r.point), to_str(r.reads_as), r.row,
                                   r.loaded != 0, number_if((r.given & BLN_LIVE_HAS_WATTS) != 0, r.watts),
                                   number_if((r.given & BLN_LIVE_HAS_VARS) != 0, r.vars),
                                   number_if((r.given & BLN_LIVE_HAS_ANGLE) != 0, r.angle_deg),
                                   number_if((r.given & BLN_LIVE_HAS_BAND) != 0, r.band_low_deg),
                                   number_if((r.given & BLN_LIVE_HAS_BAND) != 0, r.band_high_deg)));
    }
    return rows;
}

py::list point_rows(const Live& live) {
    py::list rows;
    for (std::size_t i = 0; i < bln_live_point_count(live.get()); ++i) {
        bln_live_point r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_live_point_at(live.get(), i, &r, err); });
        rows.append(py::make_tuple(r.proof, to_str(r.point), r.channels, r.read, r.loaded, r.watts, r.vars));
    }
    return rows;
}

py::list sum_rows(const Live& live) {
    py::list rows;
    for (std::size_t i = 0; i < bln_live_sum_count(live.get()); ++i) {
        bln_live_sum r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_live_sum_at(live.get(), i, &r, err); });
        rows.append(py::make_tuple(r.verdict, to_str(r.main), to_str(r.phase), r.main_watts, r.branch_watts,
                                   r.tolerance_watts, r.circuits, r.unread));
    }
    return rows;
}

}  // namespace

void bind_live(py::module_& m) {
    m.attr("ANGLE") = py::dict(py::arg("v_minus_i") = static_cast<int>(BLN_ANGLE_V_MINUS_I),
                               py::arg("i_minus_v") = static_cast<int>(BLN_ANGLE_I_MINUS_V));
    m.attr("POWER_FACTOR") = py::dict(py::arg("unsigned") = static_cast<int>(BLN_PF_UNSIGNED),
                                      py::arg("sign_of_watts") = static_cast<int>(BLN_PF_SIGN_OF_WATTS),
                                      py::arg("lag_positive") = static_cast<int>(BLN_PF_LAG_POSITIVE),
                                      py::arg("lead_positive") = static_cast<int>(BLN_PF_LEAD_POSITIVE));
    m.attr("PROOF") = py::dict(py::arg("wrong") = static_cast<int>(BLN_PROOF_WRONG),
                               py::arg("undecided") = static_cast<int>(BLN_PROOF_UNDECIDED),
                               py::arg("not_proven") = static_cast<int>(BLN_PROOF_NOT_PROVEN),
                               py::arg("likely") = static_cast<int>(BLN_PROOF_LIKELY),
                               py::arg("right") = static_cast<int>(BLN_PROOF_RIGHT));
    py::class_<Readings>(m, "Readings")
        .def(py::init(&readings_new))
        .def_static("read_csv",
                    [](const py::object& csv, const py::object& max_bytes) {
                        const Bytes bytes(csv);
                        const bln_limits limits = to_limits(py::none(), max_bytes);
                        Readings readings;
                        call_unlocked([&](bln_error** err) {
                            return bln_readings_read_csv(bytes.data(), bytes.size(), &limits, readings.out(), err);
                        });
                        return readings;
                    })
        .def("__len__", [](const Readings& readings) { return bln_readings_count(readings.get()); });
    py::class_<Live>(m, "Live")
        .def("channels", &channel_rows)
        .def("points", &point_rows)
        .def("sums", &sum_rows)
        .def("report", [](const Live& live) {
            Report report;
            call([&](bln_error** err) { return bln_live_report(live.get(), report.out(), err); });
            return report;
        });
    m.def("live_check",
          [](const View& view, const Readings& readings, const Policy* policy, const py::object& progress) {
              Live live;
              Progress reporter(progress);
              reporter.run([&](bln_error** err) {
                  return bln_live_check(view.get(), readings.get(), policy == nullptr ? nullptr : policy->get(),
                                        Progress::function(), reporter.user(), live.out(), err);
              });
              return live;
          });
}

}  // namespace binding
