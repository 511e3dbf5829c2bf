// The install sheet: what goes where, in the order of work, as data.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "site/view.hpp"

namespace bln::plan {

/// What a sheet is confined to, and how. JSON keys have the names of the members.
struct SheetOptions {
    std::vector<std::string> panels, devices, points;  ///< ascending
    bool some_panels = false, some_devices = false, some_points = false;
    double spare_percent = 5;
    std::string title;

    /// Throws what parse_json() throws, BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE, BLN_E_RANGE, BLN_E_NO_ENTITY.
    [[nodiscard]] static SheetOptions read(const View& view, std::string_view json);
};

/// One CT at one input; texts borrowed from the view.
struct SheetRow {
    std::int32_t channel = -1, ct = -1, circuit = -1, point = -1;
    int input = 0, connector = 0, pole = 0;  ///< 0: not known
    std::int64_t space = 0;                  ///< 0: none
    std::string_view conductor;              ///< "" where it is not known
    std::string_view faces;                  ///< side that the mark faces; ""
    std::string_view reference;
    bool exchanged = false;  ///< the leads of the CT are exchanged at the input
};
struct SheetDevice {
    std::int32_t device = -1;
    std::vector<SheetRow> rows;  ///< by input
};
struct SheetPanel {
    std::int32_t panel = -1;  ///< -1: channels whose panel is not known
    std::vector<SheetDevice> devices;
    std::vector<std::string> cautions;
};
struct Material {
    std::int32_t type = -1;  ///< CT type or profile; -1: CTs whose type is not recorded
    std::int64_t count = 0, spare = 0;
};

struct Sheet {
    std::string title;
    std::vector<std::string> cautions;  ///< that hold everywhere
    std::vector<SheetPanel> panels;
    std::vector<Material> cts, profiles;
};

/// What is written down by hand, beside each device and beside each channel.
struct ToRecord {
    std::string_view key, words;
};
inline constexpr ToRecord record_of_device[] = {{"serial", "serial number"},
                                                {"seal", "approval or verification mark, and until when it holds"},
                                                {"terminals", "what each voltage terminal is landed on, as measured"},
                                                {"volts", "volts at the terminals"},
                                                {"protection", "fuse or breaker of the voltage leads"},
                                                {"date", "date"},
                                                {"by", "name and licence"}};
inline constexpr ToRecord record_of_channel[] = {{"serial", "serial number of the CT"},
                                                 {"faces_seen", "side that the mark faces, as seen"},
                                                 {"lead_label", "label on both ends of the lead"},
                                                 {"amps_clamp", "amperes by clamp meter"},
                                                 {"initials", "initials"}};

[[nodiscard]] Sheet make_sheet(const View& view, const SheetOptions& options);

[[nodiscard]] std::string sheet_json(const View& view, const Sheet& sheet, std::string_view library_version);
[[nodiscard]] std::string sheet_text(const View& view, const Sheet& sheet);
[[nodiscard]] std::string sheet_csv(const View& view, const Sheet& sheet);

}  // namespace bln::plan
