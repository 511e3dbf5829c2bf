#include "energy/intervals.hpp"

namespace bln {

std::string_view word_of(Quantity q) noexcept {
    constexpr std::string_view words[] = {"net_p", "net_q", "import_p", "export_p", "import_q", "export_q",
                                          "q1",    "q2",    "q3",       "q4",       "apparent"};
    return words[static_cast<std::size_t>(q)];
}

IntervalRule IntervalRule::of(const bln_interval_rule& rule) {
    if (rule.stamp != BLN_STAMP_START && rule.stamp != BLN_STAMP_END)
        throw Failure(BLN_E_RANGE, "the rule does not say whether times are starts or ends");
    if (rule.duration <= 0) throw Failure(BLN_E_RANGE, "the duration of an interval is not more than 0");
    if (rule.wh_num <= 0 || rule.wh_den <= 0) throw Failure(BLN_E_RANGE, "a count stands for no positive energy");
    ScaledBy from = ScaledBy::device;
    switch (rule.read_from) {
        case 0:
        case BLN_READ_FROM_DEVICE:
            break;
        case BLN_READ_FROM_HEAD_END:
            from = ScaledBy::head_end;
            break;
        case BLN_READ_FROM_BILLING:
            from = ScaledBy::billing;
            break;
        default:
            throw Failure(BLN_E_RANGE, "the rule does not say where the counts were read");
    }
    return {rule.duration, Rational(rule.wh_num, rule.wh_den), rule.stamp == BLN_STAMP_END, from};
}

}  // namespace bln
