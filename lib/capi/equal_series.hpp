// The series of the calendar and demand sections, as the core takes them.
#pragma once

#include "capi/sized.hpp"
#include "energy/equal_series.hpp"
#include "power/rational.hpp"

namespace bln::capi {

struct GivenSeries {
    energy::EqualSeries p;
    Column q;
    Rational quantum;

    explicit GivenSeries(const bln_equal_series* from) {
        const bln_equal_series s = take(from, "series");
        if (s.wh_num <= 0 || s.wh_den <= 0)
            throw Failure(BLN_E_RANGE, "the watt-hours of a count are not a ratio of two positive numbers");
        quantum = Rational(s.wh_num, s.wh_den);
        p.first = s.first;
        p.duration = s.duration;
        p.count = static_cast<std::size_t>(s.count);
        p.counts = Column(s.p, "p");
        q = Column(s.q, "q");
    }
};

}  // namespace bln::capi
