// Powers of millions of snapshots.
#include "power/snapshots.hpp"

#include <cmath>

#include "capi/sized.hpp"
#include "site/column.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

RealColumn input(const bln_column& from, const char* name) {
    const Column checked(from, name);
    if (!checked.given()) throw Failure(BLN_E_ARGUMENT, "column " + std::string(name) + " is absent");
    if (from.type != BLN_TYPE_F64 && from.type != BLN_TYPE_F32)
        throw Failure(BLN_E_TYPE, "column " + std::string(name) + " holds neither f64 nor f32");
    return {from.data, from.stride, from.type == BLN_TYPE_F32};
}

RealTarget output(const bln_out_column* into, const char* name) {
    if (into == nullptr) return {};
    if (into->data == nullptr) throw Failure(BLN_E_ARGUMENT, "column " + std::string(name) + " has no data");
    if (into->type != BLN_TYPE_F64 && into->type != BLN_TYPE_F32)
        throw Failure(BLN_E_TYPE, "column " + std::string(name) + " holds neither f64 nor f32");
    if (into->stride == 0) throw Failure(BLN_E_RANGE, "column " + std::string(name) + " has a stride of 0");
    return {into->data, into->stride, into->type == BLN_TYPE_F32};
}

void store(const RealTarget& to, std::size_t row, double x) {
    if (to.data == nullptr) return;
    char* at = static_cast<char*>(to.data) + static_cast<std::ptrdiff_t>(row) * to.stride;
    if (to.single) {
        const auto narrow = static_cast<float>(x);
        std::memcpy(at, &narrow, sizeof narrow);
    } else {
        std::memcpy(at, &x, sizeof x);
    }
}

void mark(const bln_out_column* into, std::size_t rows) {
    if (into == nullptr || into->validity == nullptr) return;
    for (std::size_t i = 0; i < rows; ++i)
        into->validity[i / 8] = static_cast<std::uint8_t>(into->validity[i / 8] | 1U << (i % 8));
}

}  // namespace

extern "C" {

bln_status bln_power_of_snapshots(size_t rows, const bln_column* v, const bln_column* i, const bln_out_column* p,
                                  const bln_out_column* q, const bln_out_column* s, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        required(v, "v");
        required(i, "i");
        if (rows == 0) return;
        const SnapshotColumns c{input(v[0], "v[0]"), input(v[1], "v[1]"), input(i[0], "i[0]"), input(i[1], "i[1]"),
                                output(p, "p"),      output(q, "q"),      output(s, "s")};
        const Column columns[] = {Column(v[0], "v[0]"), Column(v[1], "v[1]"), Column(i[0], "i[0]"),
                                  Column(i[1], "i[1]")};
        const bool gaps = v[0].validity || v[1].validity || i[0].validity || i[1].validity;
        const bool finite = snapshot_power(c, 0, rows);
        for (const bln_out_column* out : {p, q, s}) mark(out, rows);
        if (finite && !gaps) return;
        std::vector<ErrorItem> bad;
        for (std::size_t row = 0; row < rows; ++row) {
            const Column* which = nullptr;
            bool there = true;
            for (const Column& one : columns) {
                there = one.has(row);
                if (there && std::isfinite(one.real(row))) continue;
                which = &one;
                break;
            }
            const double a = c.v_re.at(row), b = c.v_im.at(row), d = c.i_re.at(row), e = c.i_im.at(row);
            const bool beyond = which == nullptr && (!std::isfinite(a * d + b * e) || !std::isfinite(b * d - a * e));
            if (which == nullptr && !beyond) continue;
            for (const RealTarget& to : {c.p, c.q, c.s}) store(to, row, 0);
            for (const bln_out_column* out : {p, q, s})
                if (out != nullptr && out->validity != nullptr)
                    out->validity[row / 8] = static_cast<std::uint8_t>(out->validity[row / 8] & ~(1U << (row % 8)));
            if (bad.size() == 100) continue;
            const std::string place =
                (beyond ? "the power" : std::string(which->name())) + ", row " + std::to_string(row);
            bad.push_back({there ? BLN_E_NOT_FINITE : BLN_E_ABSENT,
                           place + (there ? " is not finite" : " is not there"),
                           {},
                           {}});
        }
        if (!bad.empty()) throw Failure(std::move(bad));
    });
}

}  // extern "C"
