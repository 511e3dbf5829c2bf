// Roll-up over a period, at once or block after block.
#include "columns.hpp"
#include "limits.hpp"

namespace binding {

namespace {

bln_rollup_period period_of(const py::object& from, const py::object& to, const py::object& known,
                            const py::object& quantum) {
    bln_rollup_period period{};
    period.size = sizeof period;
    period.from = to_instant(from, BLN_BEGIN_OF_TIME, "begin");
    period.to = to_instant(to, BLN_END_OF_TIME, "end");
    period.known = to_instant(known, BLN_END_OF_TIME, "known");
    if (!quantum.is_none()) {
        const auto [num, den] = to_ratio(quantum, "quantum");
        period.quantum_num = num;
        period.quantum_den = den;
    }
    return period;
}

/// A matrix of a caller: one row a channel (or a row of the statement), one item an interval.
class Matrix {
public:
    Matrix(const py::object& source, const char* what, bool writable) {
        if (source.is_none()) return;
        if (PyObject_GetBuffer(source.ptr(), &buffer_,
                               (writable ? PyBUF_WRITABLE : 0) | PyBUF_STRIDES | PyBUF_FORMAT) != 0)
            throw py::error_already_set();
        held_ = true;
        if (buffer_.ndim != 2) refuse(BLN_E_TYPE, std::string(what) + " is no matrix of two dimensions");
    }
    ~Matrix() {
        if (held_) PyBuffer_Release(&buffer_);
    }
    Matrix(const Matrix&) = delete;
    Matrix& operator=(const Matrix&) = delete;
    [[nodiscard]] bool given() const noexcept { return held_; }
    [[nodiscard]] std::size_t rows() const noexcept { return static_cast<std::size_t>(buffer_.shape[0]); }
    [[nodiscard]] std::size_t items() const noexcept { return static_cast<std::size_t>(buffer_.shape[1]); }
    [[nodiscard]] char* row(std::size_t i) const noexcept {
        return static_cast<char*>(buffer_.buf) + static_cast<Py_ssize_t>(i) * buffer_.strides[0];
    }
    [[nodiscard]] std::int64_t item_stride() const noexcept { return buffer_.strides[1]; }
    [[nodiscard]] std::size_t item_size() const noexcept { return static_cast<std::size_t>(buffer_.itemsize); }
    [[nodiscard]] std::int64_t row_stride() const noexcept { return buffer_.strides[0]; }
    [[nodiscard]] std::int32_t type(const char* what) const {
        const std::string format = buffer_.format == nullptr ? "B" : buffer_.format;
        const char kind = format.empty() ? 'B' : format.back();
        const bool swapped = !format.empty() && (format[0] == '>' || format[0] == '!');
        if (!swapped && std::string("bhilq").find(kind) != std::string::npos) {
            if (buffer_.itemsize == 8) return BLN_TYPE_I64;
            if (buffer_.itemsize == 4) return BLN_TYPE_I32;
            if (buffer_.itemsize == 2) return BLN_TYPE_I16;
        }
        if (!swapped && (kind == 'B' || kind == '?') && buffer_.itemsize == 1) return BLN_TYPE_U8;
        if (kind == 'd' || kind == 'f') return kind == 'd' ? BLN_TYPE_F64 : BLN_TYPE_F32;
        refuse(BLN_E_TYPE, std::string(what) + " holds neither int64, int32, int16 nor uint8");
    }

private:
    Py_buffer buffer_{};
    bool held_ = false;
};

/// One column for each row of a matrix, with the bits of a matrix of packed bits.
std::vector<bln_column> columns_of(const Matrix& m, const Matrix& bits, std::size_t channels, std::size_t items,
                                   const char* what) {
    std::vector<bln_column> out;
    if (!m.given()) return out;
    if (m.rows() != channels || m.items() != items)
        refuse(BLN_E_RANGE, std::string(what) + " has not one row a channel, or not as many items as the others");
    if (bits.given() &&
        (bits.rows() != channels || bits.items() * 8 < items || bits.item_size() != 1 || bits.item_stride() != 1))
        refuse(BLN_E_RANGE, std::string("the validity of ") + what + " is no matrix of packed bits");
    const std::int32_t type = m.type(what);
    for (std::size_t c = 0; c < channels; ++c)
        out.push_back({m.row(c), m.item_stride(),
                       bits.given() ? reinterpret_cast<const std::uint8_t*>(bits.row(c)) : nullptr, type, 0});
    return out;
}

/// Checks an output matrix and gives where its first item lies.
void* output(const Matrix& m, std::size_t width, std::size_t rows, std::size_t items, std::size_t& stride,
             const char* what) {
    if (!m.given()) return nullptr;
    const auto step = static_cast<std::int64_t>(width);
    if (m.item_size() != width || m.item_stride() != step || m.row_stride() % step != 0 || m.rows() != rows ||
        m.items() < items || m.row_stride() < step)
        refuse(BLN_E_RANGE, std::string(what) + " is no row-wise matrix of the statement's rows and the block's items");
    const auto found = static_cast<std::size_t>(m.row_stride() / step);
    if (stride != 0 && stride != found) refuse(BLN_E_RANGE, "the output matrices differ in their stride");
    stride = found;
    return m.row(0);
}

struct Pushed {
    py::object net_p, net_p_valid, net_q, net_q_valid, quality, net, net_q_out, complete, quality_out;
};

void push(Stream& stream, std::size_t channels, std::size_t intervals, const Pushed& given) {
    const Matrix p(given.net_p, "net_p", false), pv(given.net_p_valid, "net_p", false), q(given.net_q, "net_q", false),
        qv(given.net_q_valid, "net_q", false), code(given.quality, "quality", false);
    const std::vector<bln_column> ps = columns_of(p, pv, channels, intervals, "net_p"),
                                  qs = columns_of(q, qv, channels, intervals, "net_q"),
                                  codes =
                                      columns_of(code, Matrix(py::none(), "", false), channels, intervals, "quality");
    bln_rollup_block block{};
    block.size = sizeof block;
    block.intervals = intervals;
    block.net_p = ps.empty() ? nullptr : ps.data();
    block.net_q = qs.empty() ? nullptr : qs.data();
    block.quality = codes.empty() ? nullptr : codes.data();
    const Matrix net(given.net, "net", true), net_q(given.net_q_out, "net_q", true),
        complete(given.complete, "complete", true), worst(given.quality_out, "quality", true);
    bln_rollup_rows rows{};
    rows.size = sizeof rows;
    const std::size_t n = bln_rollup_stream_rows(stream.get());
    rows.net = static_cast<std::int64_t*>(output(net, 8, n, intervals, rows.stride, "net"));
    rows.net_q = static_cast<std::int64_t*>(output(net_q, 8, n, intervals, rows.stride, "net_q"));
    rows.complete = static_cast<std::uint8_t*>(output(complete, 1, n, intervals, rows.stride, "complete"));
    rows.quality = static_cast<std::uint8_t*>(output(worst, 1, n, intervals, rows.stride, "quality"));
    call_unlocked([&](bln_error** err) {
        return bln_rollup_stream_push(stream.get(), &block, rows.stride == 0 ? nullptr : &rows, err);
    });
}

}  // namespace

void bind_rollup(py::module_& m) {
    m.attr("OF_ROW") =
        py::dict(py::arg("kind") = static_cast<int>(BLN_OF_ROW_KIND), py::arg("net") = static_cast<int>(BLN_OF_ROW_NET),
                 py::arg("import_p") = static_cast<int>(BLN_OF_ROW_IMPORT_P),
                 py::arg("export_p") = static_cast<int>(BLN_OF_ROW_EXPORT_P),
                 py::arg("net_q") = static_cast<int>(BLN_OF_ROW_NET_Q),
                 py::arg("import_q") = static_cast<int>(BLN_OF_ROW_IMPORT_Q),
                 py::arg("export_q") = static_cast<int>(BLN_OF_ROW_EXPORT_Q),
                 py::arg("apparent") = static_cast<int>(BLN_OF_ROW_APPARENT),
                 py::arg("apparent_intervals") = static_cast<int>(BLN_OF_ROW_APPARENT_INTERVALS),
                 py::arg("power_factor") = static_cast<int>(BLN_OF_ROW_POWER_FACTOR),
                 py::arg("measured") = static_cast<int>(BLN_OF_ROW_MEASURED),
                 py::arg("flagged") = static_cast<int>(BLN_OF_ROW_FLAGGED),
                 py::arg("missing") = static_cast<int>(BLN_OF_ROW_MISSING),
                 py::arg("mixed") = static_cast<int>(BLN_OF_ROW_MIXED),
                 py::arg("flagged_net") = static_cast<int>(BLN_OF_ROW_FLAGGED_NET));
    m.attr("APPARENT_BAR") = py::dict(py::arg("none") = static_cast<int>(BLN_BAR_NONE),
                                      py::arg("reweighted_channel") = static_cast<int>(BLN_BAR_REWEIGHTED),
                                      py::arg("summed_currents") = static_cast<int>(BLN_BAR_SUMMED_CURRENT),
                                      py::arg("part_without") = static_cast<int>(BLN_BAR_OF_A_PART));
    m.def("rollup",
          [](const Site& site, const py::object& from, const py::object& to, const py::object& known,
             const py::object& quantum, const Intervals& intervals, const Policy* policy, const py::object& progress) {
              const bln_rollup_period period = period_of(from, to, known, quantum);
              Statement statement;
              Progress reporter(progress);
              reporter.run([&](bln_error** err) {
                  const bln_policy* limits = policy == nullptr ? nullptr : policy->get();
                  if (period.from == BLN_BEGIN_OF_TIME && period.to == BLN_END_OF_TIME && period.quantum_num == 0)
                      return bln_rollup(site.get(), period.known, intervals.get(), limits, Progress::function(),
                                        reporter.user(), statement.out(), err);
                  return bln_rollup_over(site.get(), &period, intervals.get(), limits, Progress::function(),
                                         reporter.user(), statement.out(), err);
              });
              return statement;
          });
    py::class_<Stream>(m, "RollupStream")
        .def(py::init([](const Site& site, const py::object& from, const py::object& to, const py::object& known,
                         const py::object& quantum, const py::object& first, const py::object& duration,
                         const py::object& wh_per_count, const py::iterable& channels, std::uint32_t flags,
                         const Policy* policy) {
            const bln_rollup_period period = period_of(from, to, known, quantum);
            const bln_instant begin = to_instant(first, period.from, "first");
            bln_interval_rule rule{};
            rule.size = sizeof rule;
            rule.stamp = BLN_STAMP_START;
            rule.duration = to_int64(duration, "duration");
            const auto [num, den] = to_ratio(wh_per_count, "wh_per_count");
            rule.wh_num = num;
            rule.wh_den = den;
            const Ids ids(channels, "channel");
            Stream stream;
            call_unlocked([&](bln_error** err) {
                return bln_rollup_stream_new(site.get(), &period, &rule, begin, ids.data(), ids.size(), flags,
                                             policy == nullptr ? nullptr : policy->get(), stream.out(), err);
            });
            return stream;
        }))
        .def("intervals", [](const Stream& stream) { return bln_rollup_stream_intervals(stream.get()); })
        .def("done", [](const Stream& stream) { return bln_rollup_stream_done(stream.get()); })
        .def("rows",
             [](const Stream& stream) {
                 py::list ids;
                 for (std::size_t i = 0; i < bln_rollup_stream_rows(stream.get()); ++i)
                     ids.append(to_str(bln_rollup_stream_row(stream.get(), i)));
                 return ids;
             })
        .def(
            "push",
            [](Stream& stream, std::size_t channels, std::size_t intervals, const py::tuple& in, const py::tuple& out) {
                push(stream, channels, intervals, {in[0], in[1], in[2], in[3], in[4], out[0], out[1], out[2], out[3]});
            })
        .def("finish", [](const Stream& stream) {
            Statement statement;
            call_unlocked(
                [&](bln_error** err) { return bln_rollup_stream_finish(stream.get(), statement.out(), err); });
            return statement;
        });
    m.attr("STREAM_REACTIVE") = static_cast<int>(BLN_STREAM_REACTIVE);
    m.attr("STREAM_DIGEST") = static_cast<int>(BLN_STREAM_DIGEST);
}

}  // namespace binding
