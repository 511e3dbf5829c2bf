// Zone rules, time of use, demand, apportionment.
#include "columns.hpp"
#include "limits.hpp"

namespace binding {

namespace {

/// Energy in equal intervals, with its columns held.
struct Series {
    Series(const py::object& first, const py::object& duration, const py::object& wh_per_count, const py::object& p,
           const py::object& q)
        : p_(p, "p"), q_(q, "q") {
        row_.size = sizeof row_;
        row_.first = to_instant(first, 0, "first");
        row_.duration = to_int64(duration, "duration");
        const auto [num, den] = to_ratio(wh_per_count, "wh_per_count");
        row_.wh_num = num;
        row_.wh_den = den;
        row_.count = p_.size();
        row_.p = p_.get();
        row_.q = q_.get();
        if (q_.given() && q_.size() != p_.size())
            refuse(BLN_E_RANGE,
                   "q has " + std::to_string(q_.size()) + " items, and p has " + std::to_string(p_.size()));
    }
    [[nodiscard]] const bln_equal_series* get() const noexcept { return &row_; }

private:
    Column p_, q_;
    bln_equal_series row_{};
};

void bind_zone(py::module_& m) {
    m.attr("PERIOD") = py::dict(
        py::arg("day") = static_cast<int>(BLN_PERIOD_DAY), py::arg("week") = static_cast<int>(BLN_PERIOD_WEEK),
        py::arg("month") = static_cast<int>(BLN_PERIOD_MONTH),
        py::arg("quarter") = static_cast<int>(BLN_PERIOD_QUARTER), py::arg("year") = static_cast<int>(BLN_PERIOD_YEAR));
    py::class_<Zone>(m, "Zone")
        .def(py::init([](const py::object& name, const py::object& tzif, const py::object& version) {
            const CText n(name, "name"), v(version, "version");
            const Bytes bytes(tzif);
            Zone zone;
            call([&](bln_error** err) {
                return bln_zone_read(n.get(), bytes.data(), bytes.size(), v.get(), zone.out(), err);
            });
            return zone;
        }))
        .def("name", [](const Zone& z) { return to_str(bln_zone_name(z.get())); })
        .def("version", [](const Zone& z) { return to_str(bln_zone_version(z.get())); })
        .def("digest", [](const Zone& z) { return to_str(bln_zone_digest(z.get())); })
        .def("matches",
             [](const Zone& z, const Site& site) {
                 call([&](bln_error** err) { return bln_zone_matches(z.get(), site.get(), err); });
             })
        .def("local",
             [](const Zone& z, const py::object& at) {
                 bln_local l{};
                 l.size = sizeof l;
                 const bln_instant i = to_instant(at, 0, "at");
                 call([&](bln_error** err) { return bln_zone_local(z.get(), i, &l, err); });
                 return py::make_tuple(l.year, l.month, l.day, l.hour, l.minute, l.second, l.microsecond, l.weekday,
                                       l.offset_seconds, l.summer != 0, l.repeated != 0, to_str(l.letters));
             })
        .def("moments",
             [](const Zone& z, const py::object& local) {
                 bln_moments m{};
                 m.size = sizeof m;
                 const CText text(local, "local");
                 call([&](bln_error** err) { return bln_zone_moments(z.get(), text.get(), &m, err); });
                 return py::make_tuple(m.count, m.earlier, m.later);
             })
        .def("period", [](const Zone& z, std::int32_t period, const py::object& date) {
            bln_instant from = 0, to = 0;
            const CText text(date, "date");
            call([&](bln_error** err) { return bln_zone_period(z.get(), period, text.get(), &from, &to, err); });
            return py::make_tuple(from, to);
        });
}

void bind_time_of_use(py::module_& m) {
    m.attr("STRADDLE") = py::dict(py::arg("refuse") = static_cast<int>(BLN_STRADDLE_REFUSE),
                                  py::arg("divide") = static_cast<int>(BLN_STRADDLE_DIVIDE));
    py::class_<Bins>(m, "Bins")
        .def("total", [](const Bins& b) { return bln_bins_total(b.get()); })
        .def("rows",
             [](const Bins& b) {
                 py::list rows;
                 for (std::size_t i = 0; i < bln_bins_count(b.get()); ++i) {
                     bln_bin_row r{};
                     r.size = sizeof r;
                     call([&](bln_error** err) { return bln_bins_at(b.get(), i, &r, err); });
                     rows.append(py::make_tuple(to_str(r.bin), r.count, r.whole, to_fraction(r.num, r.den), r.intervals,
                                                r.divided, r.missing, r.time));
                 }
                 return rows;
             })
        .def("json", [](const Bins& b) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_bins_json(b.get(), out, err); });
        });
    py::class_<TimeOfUse>(m, "TimeOfUse")
        .def(py::init([](const py::object& json, const py::object& max_depth, const py::object& max_bytes) {
            const Bytes bytes(json);
            const bln_limits limits = to_limits(max_depth, max_bytes);
            TimeOfUse tou;
            call([&](bln_error** err) { return bln_tou_read(bytes.data(), bytes.size(), &limits, tou.out(), err); });
            return tou;
        }))
        .def("bins",
             [](const TimeOfUse& t) {
                 py::tuple names(bln_tou_bins(t.get()));
                 for (std::size_t i = 0; i < names.size(); ++i) names[i] = to_str(bln_tou_bin(t.get(), i));
                 return names;
             })
        .def("at",
             [](const TimeOfUse& t, const py::object& local) {
                 const CText text(local, "local");
                 std::size_t bin = 0;
                 call([&](bln_error** err) { return bln_tou_at(t.get(), text.get(), &bin, err); });
                 return to_str(bln_tou_bin(t.get(), bin));
             })
        .def("divide", [](const TimeOfUse& t, const Zone& zone, const py::object& first, const py::object& duration,
                          const py::object& wh_per_count, const py::object& p, std::int32_t straddle) {
            const Series series(first, duration, wh_per_count, p, py::none());
            Bins bins;
            call_unlocked([&](bln_error** err) {
                return bln_tou_divide(t.get(), zone.get(), series.get(), straddle, bins.out(), err);
            });
            return bins;
        });
}

py::tuple window_row(const Demand& d, std::size_t i) {
    bln_demand_window w{};
    w.size = sizeof w;
    call([&](bln_error** err) { return bln_demand_at(d.get(), i, &w, err); });
    return py::make_tuple(w.from, w.to, w.complete != 0, w.p, w.q, w.complete_q != 0, w.watts, w.voltamperes);
}

void bind_demand(py::module_& m) {
    m.attr("DEMAND") = py::dict(py::arg("active") = static_cast<int>(BLN_DEMAND_ACTIVE),
                                py::arg("apparent") = static_cast<int>(BLN_DEMAND_APPARENT));
    py::class_<Demand>(m, "Demand")
        .def(py::init([](const Zone* zone, const py::object& window, const py::object& step, const py::object& first,
                         const py::object& duration, const py::object& wh_per_count, const py::object& p,
                         const py::object& q) {
            const Series series(first, duration, wh_per_count, p, q);
            bln_demand_rule rule{};
            rule.size = sizeof rule;
            rule.window = to_int64(window, "window");
            rule.step = to_int64(step, "step");
            Demand demand;
            call_unlocked([&](bln_error** err) {
                return bln_demand_new(&rule, zone == nullptr ? nullptr : zone->get(), series.get(), demand.out(), err);
            });
            return demand;
        }))
        .def("__len__", [](const Demand& d) { return bln_demand_count(d.get()); })
        .def("at", &window_row)
        .def("find", [](const Demand& d,
                        const py::object& from) { return bln_demand_find(d.get(), to_instant(from, 0, "from")); })
        .def("scale",
             [](const Demand& d) {
                 std::int64_t num = 0, den = 1;
                 call([&](bln_error** err) { return bln_demand_scale(d.get(), &num, &den, err); });
                 return to_fraction(num, den);
             })
        .def("peak",
             [](const Demand& d, std::int32_t kind, const py::object& from, const py::object& to,
                const TimeOfUse* table, const Zone* zone, std::size_t bin) {
                 bln_peak p{};
                 p.size = sizeof p;
                 const bln_instant begin = to_instant(from, BLN_BEGIN_OF_TIME, "from");
                 const bln_instant end = to_instant(to, BLN_END_OF_TIME, "to");
                 call([&](bln_error** err) {
                     return table == nullptr
                                ? bln_demand_peak(d.get(), kind, begin, end, &p, err)
                                : bln_demand_peak_in_bin(d.get(), kind, begin, end, table->get(),
                                                         zone == nullptr ? nullptr : zone->get(), bin, &p, err);
                 });
                 return py::make_tuple(p.any != 0, p.window, p.from, p.value, p.billable, p.left_out, p.straddling);
             })
        .def("json", [](const Demand& d, const py::object& from, const py::object& to) {
            const bln_instant begin = to_instant(from, BLN_BEGIN_OF_TIME, "from");
            const bln_instant end = to_instant(to, BLN_END_OF_TIME, "to");
            return text_from(
                [&](bln_text** out, bln_error** err) { return bln_demand_json(d.get(), begin, end, out, err); });
        });
}

/// Keys (kind, id, from, to, value, reason) as the C function takes them.
class Keys {
public:
    explicit Keys(const py::list& keys) {
        for (const auto& item : keys) {
            const auto k = py::cast<py::tuple>(item);
            texts_.emplace_back(k[1], "id");
            reasons_.emplace_back(k[5], "reason");
        }
        std::size_t i = 0;
        for (const auto& item : keys) {
            const auto k = py::cast<py::tuple>(item);
            bln_share_key key{};
            key.size = sizeof key;
            key.kind = py::cast<std::int32_t>(k[0]);
            key.id = texts_[i].get();
            key.from = to_instant(k[2], BLN_BEGIN_OF_TIME, "from");
            key.to = to_instant(k[3], BLN_END_OF_TIME, "to");
            const auto [num, den] = to_ratio(k[4], "a weight or cap");
            key.num = num;
            key.den = den;
            key.reason = reasons_[i++].get();
            keys_.push_back(key);
        }
    }
    [[nodiscard]] const bln_share_key* data() const noexcept { return keys_.data(); }
    [[nodiscard]] std::size_t size() const noexcept { return keys_.size(); }

private:
    std::vector<CText> texts_, reasons_;
    std::vector<bln_share_key> keys_;
};

void bind_apportion(py::module_& m) {
    m.attr("SHARE") = py::dict(
        py::arg("equal") = static_cast<int>(BLN_SHARE_EQUAL), py::arg("area") = static_cast<int>(BLN_SHARE_AREA),
        py::arg("use") = static_cast<int>(BLN_SHARE_USE), py::arg("given") = static_cast<int>(BLN_SHARE_GIVEN));
    m.attr("KEY") = py::dict(py::arg("weight") = static_cast<int>(BLN_KEY_WEIGHT),
                             py::arg("excluded") = static_cast<int>(BLN_KEY_EXCLUDED),
                             py::arg("cap") = static_cast<int>(BLN_KEY_CAP));
    m.attr("STEP") = py::dict(
        py::arg("span") = static_cast<int>(BLN_STEP_SPAN), py::arg("weight") = static_cast<int>(BLN_STEP_WEIGHT),
        py::arg("excluded") = static_cast<int>(BLN_STEP_EXCLUDED), py::arg("share") = static_cast<int>(BLN_STEP_SHARE),
        py::arg("cap") = static_cast<int>(BLN_STEP_CAP), py::arg("rounding") = static_cast<int>(BLN_STEP_ROUNDING));
    py::class_<Apportionment>(m, "Apportionment")
        .def(py::init([](std::int32_t method, const py::object& total, const py::object& from, const py::object& to,
                         const py::object& unit, const Site* site, const py::object& known, const py::list& keys) {
            const CText words(unit, "unit");
            const Keys given(keys);
            bln_share_rule rule{};
            rule.size = sizeof rule;
            rule.method = method;
            rule.total = to_int64(total, "total");
            rule.from = to_instant(from, BLN_BEGIN_OF_TIME, "from");
            rule.to = to_instant(to, BLN_END_OF_TIME, "to");
            rule.unit = words.get();
            const bln_instant until = to_instant(known, BLN_END_OF_TIME, "known");
            Apportionment result;
            call_unlocked([&](bln_error** err) {
                return bln_apportion(&rule, site == nullptr ? nullptr : site->get(), until, given.data(), given.size(),
                                     result.out(), err);
            });
            return result;
        }))
        .def("parts",
             [](const Apportionment& a) {
                 py::list rows;
                 for (std::size_t i = 0; i < bln_apportionment_count(a.get()); ++i) {
                     bln_share_part p{};
                     p.size = sizeof p;
                     call([&](bln_error** err) { return bln_apportionment_at(a.get(), i, &p, err); });
                     rows.append(py::make_tuple(to_str(p.id), p.part, to_str(p.ratio), p.exact, p.remainder,
                                                p.extra != 0, p.capped != 0,
                                                p.cap < 0 ? py::object(py::none()) : py::object(py::int_(p.cap))));
                 }
                 return rows;
             })
        .def("steps",
             [](const Apportionment& a) {
                 py::list rows;
                 for (std::size_t i = 0; i < bln_apportionment_steps(a.get()); ++i) {
                     bln_share_step s{};
                     s.size = sizeof s;
                     call([&](bln_error** err) { return bln_apportionment_step(a.get(), i, &s, err); });
                     rows.append(
                         py::make_tuple(s.kind, to_str(s.id), s.from, s.to, s.value, to_str(s.exact), to_str(s.words)));
                 }
                 return rows;
             })
        .def("words",
             [](const Apportionment& a) {
                 return text_from(
                     [&](bln_text** out, bln_error** err) { return bln_apportionment_words(a.get(), out, err); });
             })
        .def("json", [](const Apportionment& a) {
            return text_from(
                [&](bln_text** out, bln_error** err) { return bln_apportionment_json(a.get(), out, err); });
        });
}

}  // namespace

void bind_calendar(py::module_& m) {
    bind_zone(m);
    bind_time_of_use(m);
    bind_demand(m);
    bind_apportion(m);
}

}  // namespace binding
