#include "site/record_patch.hpp"

#include <limits>

#include "site/json_patch.hpp"
#include "site/reader.hpp"
#include "site/writer.hpp"

namespace bln {

std::unique_ptr<Model> patched(const Model& record, std::string_view patch, const JsonLimits& limits) {
    const JsonDocument operations = parse_json(patch, limits);
    JsonLimits any;  // what the record holds was let in before
    any.max_depth = json_depth_ceiling;
    any.max_bytes = std::numeric_limits<std::uint64_t>::max();
    Json tree = parse_json(write_site(record, JsonStyle::readable), any).root;
    const std::string text = to_json(patched(std::move(tree), operations, limits));
    try {
        return read_site(text, limits);
    } catch (Failure& failure) {
        for (ErrorItem& item : failure.items()) {
            item.line = item.column = item.byte = 0;
            item.message.insert(0, "after the patch: ");
        }
        throw;
    }
}

}  // namespace bln
