// Limits of standards that are no accuracy classes: supply voltages, errors that the law allows, burdens, conductors.
// The one place for these numbers; accuracy classes stand in accuracy_table.hpp.
//
// Every row says where its numbers come from. "from memory" means: not seen in a source; confirm it against the
// standard before money depends on it.
#pragma once

#include <array>
#include <string_view>

namespace bln {

struct LimitRow {
    std::string_view key;        ///< standard/subject/condition
    std::string_view quantity;   ///< what is limited
    std::string_view condition;  ///< when it holds
    double low, high;            ///< equal: one value
    std::string_view unit;
    std::string_view standard;
    std::string_view source;
    bool from_memory;
};

namespace limits_data {
inline constexpr std::string_view c84 = "ANSI C84.1 table 1, from memory";
inline constexpr std::string_view c84_code = "ANSI C84.1 range A, 114 to 126 V, as constants of public programs name it";
inline constexpr std::string_view iec38 = "IEC 60038 and EN 50160, from memory";
inline constexpr std::string_view mid =
    "Directive 2014/32/EU, annex V (MI-003), table 2, as on legislation.gov.uk/eudr/2014/32/annex/V";
inline constexpr std::string_view gb = "Meters (Certification) Regulations 1998, SI 1998/1566, schedule 1, paragraph 9";
inline constexpr std::string_view ct = "IEC 60044-1 clauses 4.4, 11, 12, carried into IEC 61869-2; from memory";
inline constexpr std::string_view c57 = "IEEE C57.13.6, preview on filesbase.org";
inline constexpr std::string_view wire = "IEC 60228 tables 1 and 2, as used in several public programs";
}  // namespace limits_data

// clang-format off
#define BLN_C84(name, kind, where, low, high, source, memory) \
    LimitRow{"ansi-c84.1/" name "/" kind, where " voltage", "range " kind, low, high, "V", "ANSI C84.1", limits_data::source, memory}
#define BLN_MID(cls, band, part, limit) \
    LimitRow{"2014-32-eu/" cls "/" part "/" band, "error of active energy", "class " cls ", balanced load, " part ", " band " degrees Celsius", -(limit), limit, "%", "2014/32/EU", limits_data::mid, false}
#define BLN_WIRE(size, ohms) \
    LimitRow{"iec-60228/" size, "d.c. resistance", "plain copper, class 1 or 2, " size " mm2, 20 degrees Celsius", 0, ohms, "ohm/km", "IEC 60228", limits_data::wire, false}

inline constexpr std::array limit_rows{
    BLN_C84("120", "A-service", "phase-to-neutral", 114, 126, c84_code, false),
    BLN_C84("120", "B-service", "phase-to-neutral", 110, 127, c84, true),
    BLN_C84("120", "A-utilization", "phase-to-neutral", 108, 126, c84, true),
    BLN_C84("120", "B-utilization", "phase-to-neutral", 104, 127, c84, true),
    BLN_C84("208Y120/ln", "A-service", "phase-to-neutral", 114, 126, c84, true),
    BLN_C84("208Y120/ll", "A-service", "phase-to-phase", 197, 218, c84, true),
    BLN_C84("208Y120/ln", "B-service", "phase-to-neutral", 110, 127, c84, true),
    BLN_C84("208Y120/ll", "B-service", "phase-to-phase", 191, 220, c84, true),
    BLN_C84("240-120/ln", "A-service", "phase-to-neutral", 114, 126, c84, true),
    BLN_C84("240-120/ll", "A-service", "phase-to-phase", 228, 252, c84, true),
    BLN_C84("240-120/ln", "B-service", "phase-to-neutral", 110, 127, c84, true),
    BLN_C84("240-120/ll", "B-service", "phase-to-phase", 220, 254, c84, true),
    BLN_C84("480Y277/ln", "A-service", "phase-to-neutral", 263, 291, c84, true),
    BLN_C84("480Y277/ll", "A-service", "phase-to-phase", 456, 504, c84, true),
    BLN_C84("480Y277/ln", "B-service", "phase-to-neutral", 254, 293, c84, true),
    BLN_C84("480Y277/ll", "B-service", "phase-to-phase", 440, 508, c84, true),
    BLN_C84("600Y347/ln", "A-service", "phase-to-neutral", 329, 364, c84, true),
    BLN_C84("600Y347/ll", "A-service", "phase-to-phase", 570, 630, c84, true),
    BLN_C84("600Y347/ln", "B-service", "phase-to-neutral", 318, 367, c84, true),
    BLN_C84("600Y347/ll", "B-service", "phase-to-phase", 550, 635, c84, true),
    LimitRow{"ansi-c84.1/unbalance", "voltage unbalance", "no load", 0, 3, "%", "ANSI C84.1", limits_data::c84, true},
    LimitRow{"iec-60038/230-400/ln", "phase-to-neutral voltage", "230/400 V", 207, 253, "V", "IEC 60038", limits_data::iec38, true},
    LimitRow{"iec-60038/230-400/ll", "phase-to-phase voltage", "230/400 V", 360, 440, "V", "IEC 60038", limits_data::iec38, true},
    LimitRow{"en-50160/voltage", "supply voltage, of nominal", "95 % of the 10-minute means of a week", -10, 10, "%", "EN 50160", limits_data::iec38, true},
    LimitRow{"en-50160/unbalance", "negative-sequence unbalance", "95 % of the 10-minute means of a week", 0, 2, "%", "EN 50160", limits_data::iec38, true},
    LimitRow{"en-50160/frequency", "frequency, of nominal", "99.5 % of a year, interconnected systems", -1, 1, "%", "EN 50160", limits_data::iec38, true},
    BLN_MID("A", "+5..+30", "Imin-Itr", 3.5), BLN_MID("A", "-10..+5 and +30..+40", "Imin-Itr", 5), BLN_MID("A", "-25..-10 and +40..+55", "Imin-Itr", 7), BLN_MID("A", "-40..-25 and +55..+70", "Imin-Itr", 9),
    BLN_MID("B", "+5..+30", "Imin-Itr", 2), BLN_MID("B", "-10..+5 and +30..+40", "Imin-Itr", 2.5), BLN_MID("B", "-25..-10 and +40..+55", "Imin-Itr", 3.5), BLN_MID("B", "-40..-25 and +55..+70", "Imin-Itr", 4),
    BLN_MID("C", "+5..+30", "Imin-Itr", 1), BLN_MID("C", "-10..+5 and +30..+40", "Imin-Itr", 1.3), BLN_MID("C", "-25..-10 and +40..+55", "Imin-Itr", 1.7), BLN_MID("C", "-40..-25 and +55..+70", "Imin-Itr", 2),
    BLN_MID("A", "+5..+30", "Itr-Imax", 3.5), BLN_MID("A", "-10..+5 and +30..+40", "Itr-Imax", 4.5), BLN_MID("A", "-25..-10 and +40..+55", "Itr-Imax", 7), BLN_MID("A", "-40..-25 and +55..+70", "Itr-Imax", 9),
    BLN_MID("B", "+5..+30", "Itr-Imax", 2), BLN_MID("B", "-10..+5 and +30..+40", "Itr-Imax", 2.5), BLN_MID("B", "-25..-10 and +40..+55", "Itr-Imax", 3.5), BLN_MID("B", "-40..-25 and +55..+70", "Itr-Imax", 4),
    BLN_MID("C", "+5..+30", "Itr-Imax", 0.7), BLN_MID("C", "-10..+5 and +30..+40", "Itr-Imax", 1), BLN_MID("C", "-25..-10 and +40..+55", "Itr-Imax", 1.3), BLN_MID("C", "-40..-25 and +55..+70", "Itr-Imax", 1.5),
    LimitRow{"gb-1998-1566/without-transformers", "error of active energy", "without adjustment", -1.5, 1.5, "%", "SI 1998/1566", limits_data::gb, false},
    LimitRow{"gb-1998-1566/transformer-operated", "error of active energy", "transformer-operated meter", -1, 1, "%", "SI 1998/1566", limits_data::gb, false},
    LimitRow{"gb-1998-1566/transformers", "error of CT or VT alone", "rated range", -0.5, 0.5, "%", "SI 1998/1566", limits_data::gb, false},
    LimitRow{"iec-61869-2/burden", "burden at which a class holds, of rated burden", "classes 0.1 to 1, 0.2S, 0.5S", 25, 100, "%", "IEC 61869-2", limits_data::ct, true},
    LimitRow{"ieee-c57.13.6/E-0.04", "burden at 5 A", "designation E-0.04", 1, 1, "VA", "IEEE C57.13.6", limits_data::c57, false},
    LimitRow{"ieee-c57.13.6/B-0.1", "burden at 5 A", "designation B-0.1", 2.5, 2.5, "VA", "IEEE C57.13.6", limits_data::c57, false},
    BLN_WIRE("1.5", 12.1), BLN_WIRE("2.5", 7.41), BLN_WIRE("4", 4.61), BLN_WIRE("6", 3.08), BLN_WIRE("10", 1.83), BLN_WIRE("16", 1.15),
    BLN_WIRE("25", 0.727), BLN_WIRE("35", 0.524), BLN_WIRE("50", 0.387),
};
#undef BLN_C84
#undef BLN_MID
#undef BLN_WIRE
// clang-format on

}  // namespace bln
