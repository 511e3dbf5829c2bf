// Limits of error of the accuracy classes, as their standards state them. The one place for these numbers.
//
// Every row says where its numbers come from. "from memory" means: not seen in a source; confirm it
// against the standard before money depends on it.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

namespace bln {

/// What a class is a class of.
enum class AccuracyOf : std::uint8_t { current_transformer = 10, active_meter = 20, reactive_meter = 30 };

/// How a class states its limits.
enum class LimitForm : std::uint8_t {
    ratio_and_phase,  ///< ratio error and phase displacement at test currents
    ratio,            ///< ratio error alone: nothing is promised of the phase displacement
    power,            ///< error of power or energy
};

/// Limit at a test current. Between test currents a transformer's limit is taken on the straight line.
struct LimitPoint {
    double percent;              ///< of rated current
    double limit_percent;        ///< ratio error, or error of power
    double minutes;              ///< phase displacement; 0 where the class states none
    double limit_inductive = 0;  ///< meters: at power factor 0.5 inductive and 0.8 capacitive; 0: not stated here
};

struct AccuracyClass {
    AccuracyOf of;
    std::string_view name;  ///< as the standard writes it
    LimitForm form;
    std::span<const LimitPoint> points;  ///< by ascending current; a meter's hold from there on
    double last_percent;                 ///< up to this current the class says something
    std::string_view standard;
    std::string_view source;  ///< where the numbers were taken from
    bool from_memory;
};

namespace accuracy_data {
using P = LimitPoint;
inline constexpr std::array ct_01{P{5, 0.4, 15}, P{20, 0.2, 8}, P{100, 0.1, 5}, P{120, 0.1, 5}};
inline constexpr std::array ct_02{P{5, 0.75, 30}, P{20, 0.35, 15}, P{100, 0.2, 10}, P{120, 0.2, 10}};
inline constexpr std::array ct_05{P{5, 1.5, 90}, P{20, 0.75, 45}, P{100, 0.5, 30}, P{120, 0.5, 30}};
inline constexpr std::array ct_1{P{5, 3, 180}, P{20, 1.5, 90}, P{100, 1, 60}, P{120, 1, 60}};
inline constexpr std::array ct_02s{P{1, 0.75, 30}, P{5, 0.35, 15}, P{20, 0.2, 10}, P{100, 0.2, 10}, P{120, 0.2, 10}};
inline constexpr std::array ct_05s{P{1, 1.5, 90}, P{5, 0.75, 45}, P{20, 0.5, 30}, P{100, 0.5, 30}, P{120, 0.5, 30}};
inline constexpr std::array ct_3{P{50, 3, 0}, P{120, 3, 0}};
inline constexpr std::array ct_5{P{50, 5, 0}, P{120, 5, 0}};
// Transformer correction factor at power factors 0.6 to 1 lagging: an error of power.
inline constexpr std::array tcf_03{P{10, 0.6, 0}, P{100, 0.3, 0}};
inline constexpr std::array tcf_06{P{10, 1.2, 0}, P{100, 0.6, 0}};
inline constexpr std::array tcf_12{P{10, 2.4, 0}, P{100, 1.2, 0}};
inline constexpr std::array tcf_015{P{5, 0.3, 0}, P{100, 0.15, 0}};
inline constexpr std::array tcf_015s{P{5, 0.15, 0}, P{100, 0.15, 0}};
inline constexpr std::array meter_1{P{5, 1.5, 0, 0}, P{10, 1, 0, 1.5}, P{20, 1, 0, 1}};
inline constexpr std::array meter_2{P{5, 2.5, 0, 0}, P{10, 2, 0, 2.5}, P{20, 2, 0, 2}};
inline constexpr std::array meter_02s{P{1, 0.4, 0, 0}, P{2, 0.4, 0, 0.5}, P{5, 0.2, 0, 0.5}, P{10, 0.2, 0, 0.3}};
inline constexpr std::array meter_05s{P{1, 1, 0, 0}, P{2, 1, 0, 1}, P{5, 0.5, 0, 1}, P{10, 0.5, 0, 0.6}};
inline constexpr std::array meter_02{P{0.5, 0.4, 0, 0}, P{5, 0.2, 0, 0}};
inline constexpr std::array meter_05{P{0.5, 1, 0, 0}, P{5, 0.5, 0, 0}};
// Reactive: limit at sin phi = 1, and at sin phi = 0.5.
inline constexpr std::array reactive_2{P{5, 2.5, 0, 0}, P{10, 2, 0, 2.5}, P{20, 2, 0, 2}};
inline constexpr std::array reactive_3{P{5, 4, 0, 0}, P{10, 3, 0, 4}, P{20, 3, 0, 3}};

inline constexpr std::string_view handbook =
    "Agrawal, Industrial Power Engineering and Applications Handbook, p. 501, table 15.8";
}  // namespace accuracy_data

// clang-format off
inline constexpr std::array accuracy_classes{
    AccuracyClass{AccuracyOf::current_transformer, "0.1",  LimitForm::ratio_and_phase, accuracy_data::ct_01,  120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "0.2",  LimitForm::ratio_and_phase, accuracy_data::ct_02,  120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "0.5",  LimitForm::ratio_and_phase, accuracy_data::ct_05,  120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "1",    LimitForm::ratio_and_phase, accuracy_data::ct_1,   120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "0.2S", LimitForm::ratio_and_phase, accuracy_data::ct_02s, 120, "IEC 61869-2", "phase displacement from memory; ratio: articles on CT classes at zelec.fr and fehlberg.wordpress.com", true},
    AccuracyClass{AccuracyOf::current_transformer, "0.5S", LimitForm::ratio_and_phase, accuracy_data::ct_05s, 120, "IEC 61869-2", "phase displacement from memory; ratio: articles on CT classes at zelec.fr and fehlberg.wordpress.com", true},
    AccuracyClass{AccuracyOf::current_transformer, "3",    LimitForm::ratio,           accuracy_data::ct_3,   120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "5",    LimitForm::ratio,           accuracy_data::ct_5,   120, "IEC 61869-2", accuracy_data::handbook, false},
    AccuracyClass{AccuracyOf::current_transformer, "0.3",  LimitForm::power,           accuracy_data::tcf_03, 100, "IEEE C57.13", "from memory", true},
    AccuracyClass{AccuracyOf::current_transformer, "0.6",  LimitForm::power,           accuracy_data::tcf_06, 100, "IEEE C57.13", "from memory", true},
    AccuracyClass{AccuracyOf::current_transformer, "1.2",  LimitForm::power,           accuracy_data::tcf_12, 100, "IEEE C57.13", "from memory", true},
    AccuracyClass{AccuracyOf::current_transformer, "0.15", LimitForm::power,           accuracy_data::tcf_015, 100, "IEEE C57.13.6", "from memory", true},
    AccuracyClass{AccuracyOf::current_transformer, "0.15S", LimitForm::power,          accuracy_data::tcf_015s, 100, "IEEE C57.13.6", "from memory", true},
    AccuracyClass{AccuracyOf::active_meter,   "1",    LimitForm::power, accuracy_data::meter_1,    120, "IEC 62053-21", "from memory", true},
    AccuracyClass{AccuracyOf::active_meter,   "2",    LimitForm::power, accuracy_data::meter_2,    120, "IEC 62053-21", "from memory", true},
    AccuracyClass{AccuracyOf::active_meter,   "0.2S", LimitForm::power, accuracy_data::meter_02s,  120, "IEC 62053-22", "from memory", true},
    AccuracyClass{AccuracyOf::active_meter,   "0.5S", LimitForm::power, accuracy_data::meter_05s,  120, "IEC 62053-22", "from memory", true},
    AccuracyClass{AccuracyOf::active_meter,   "0.2",  LimitForm::power, accuracy_data::meter_02,   100, "ANSI C12.20", "from memory; at unity power factor only", true},
    AccuracyClass{AccuracyOf::active_meter,   "0.5",  LimitForm::power, accuracy_data::meter_05,   100, "ANSI C12.20", "from memory; at unity power factor only", true},
    AccuracyClass{AccuracyOf::reactive_meter, "2",    LimitForm::power, accuracy_data::reactive_2, 120, "IEC 62053-23", "from memory", true},
    AccuracyClass{AccuracyOf::reactive_meter, "3",    LimitForm::power, accuracy_data::reactive_3, 120, "IEC 62053-23", "from memory", true},
};
// clang-format on

}  // namespace bln
