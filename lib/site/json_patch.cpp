#include "site/json_patch.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace bln {
namespace {

using Tokens = std::vector<std::string>;

/// Reference tokens of a JSON Pointer, or nothing when its grammar is broken (RFC 6901, 3).
std::optional<Tokens> split_pointer(std::string_view pointer) {
    Tokens out;
    if (pointer.empty()) return out;
    if (pointer.front() != '/') return std::nullopt;
    for (std::size_t i = 0; i < pointer.size(); ++i) {
        const char c = pointer[i];
        if (c == '/') {
            out.emplace_back();
        } else if (c != '~') {
            out.back() += c;
        } else {
            if (++i == pointer.size() || (pointer[i] != '0' && pointer[i] != '1')) return std::nullopt;
            out.back() += pointer[i] == '0' ? '~' : '/';
        }
    }
    return out;
}

/// Array index: digits without a leading zero (RFC 6901, 4).
std::optional<std::size_t> array_index(std::string_view token) noexcept {
    if (token.empty() || token.size() > 18 || (token.size() > 1 && token.front() == '0')) return std::nullopt;
    std::size_t value = 0;
    for (const char c : token) {
        if (c < '0' || c > '9') return std::nullopt;
        value = value * 10 + static_cast<std::size_t>(c - '0');
    }
    return value;
}

struct Extent {
    std::int64_t bytes = 0;
    std::uint32_t depth = 0;
};

/// Memory that a tree takes, near enough, and levels of nesting. Memory and not text, because a tree of
/// small items takes far more than its text and a few copies are quickly written.
Extent extent_of(const Json& value) noexcept {
    Extent out{static_cast<std::int64_t>(sizeof(Json) + value.text.size()), 0};
    for (const std::string& key : value.keys) out.bytes += static_cast<std::int64_t>(sizeof(std::string) + key.size());
    for (const Json& item : value.items) {
        const Extent inner = extent_of(item);
        out.bytes += inner.bytes;
        out.depth = std::max(out.depth, inner.depth);
    }
    if (value.is_object() || value.is_array()) ++out.depth;
    return out;
}

Json* child(Json& of, const std::string& token) noexcept {
    if (of.is_object()) return of.find(token);
    if (!of.is_array()) return nullptr;
    const auto index = array_index(token);
    return index && *index < of.items.size() ? &of.items[*index] : nullptr;
}

class Patcher {
public:
    Patcher(Json& target, const JsonDocument& patch, const JsonLimits& limits)
        : target_(target), patch_(patch), limits_(limits) {
        limits_.max_depth = std::min(limits_.max_depth, json_depth_ceiling);
    }

    void run() {
        if (!patch_.root.is_array()) patch_.fail(patch_.root, BLN_E_PATCH, "a patch is an array of operations");
        for (const Json& operation : patch_.root.items) apply(operation);
    }

private:
    /// Where a pointer of the patch leads: the node that holds the last token.
    struct Target {
        const Json& node;  ///< the pointer's text in the patch, for error places
        Tokens tokens;

        [[nodiscard]] bool root() const noexcept { return tokens.empty(); }
        [[nodiscard]] const std::string& pointer() const noexcept { return node.text; }
    };

    void apply(const Json& operation) {
        if (!operation.is_object()) patch_.fail(operation, BLN_E_PATCH, "an operation is an object");
        const Json& op = member(operation, "op");
        if (!op.is_string()) patch_.fail(op, BLN_E_PATCH, "op is a text");
        const Target path = pointer(operation, "path");
        if (op.text == "add") {
            add(path, member(operation, "value"));
        } else if (op.text == "remove") {
            (void)take(path);
        } else if (op.text == "replace") {
            const Json& value = member(operation, "value");
            replace(path, value);
        } else if (op.text == "move") {
            move(pointer(operation, "from"), path);
        } else if (op.text == "copy") {
            // A copy of its own, because adding may move what it was taken from.
            add(path, Json(existing(pointer(operation, "from"))));
        } else if (op.text == "test") {
            test(path, member(operation, "value"));
        } else {
            patch_.fail(op, BLN_E_PATCH, "\"" + op.text + "\" is none of add, remove, replace, move, copy and test");
        }
    }

    const Json& member(const Json& operation, std::string_view name) const {
        const Json* found = operation.find(name);
        if (found == nullptr) patch_.fail(operation, BLN_E_PATCH, "the operation lacks \"" + std::string(name) + "\"");
        return *found;
    }

    Target pointer(const Json& operation, std::string_view name) const {
        const Json& node = member(operation, name);
        if (!node.is_string()) patch_.fail(node, BLN_E_PATCH, std::string(name) + " is a JSON Pointer");
        auto tokens = split_pointer(node.text);
        if (!tokens)
            patch_.fail(node, BLN_E_PATCH,
                        "\"" + node.text + "\" is no JSON Pointer: it begins with /, and ~ stands only in ~0 and ~1");
        return {node, std::move(*tokens)};
    }

    Json* find(const Target& at) const noexcept {
        Json* here = &target_;
        for (const std::string& token : at.tokens)
            if ((here = child(*here, token)) == nullptr) return nullptr;
        return here;
    }

    Json& existing(const Target& at) const {
        Json* found = find(at);
        if (found == nullptr) patch_.fail(at.node, BLN_E_PATCH, "there is nothing at " + at.pointer());
        return *found;
    }

    Json& parent(const Target& at) const {
        Json* here = &target_;
        for (std::size_t i = 0; i + 1 < at.tokens.size(); ++i) {
            here = child(*here, at.tokens[i]);
            if (here == nullptr) patch_.fail(at.node, BLN_E_PATCH, "there is nothing that could hold " + at.pointer());
        }
        if (!here->is_object() && !here->is_array())
            patch_.fail(at.node, BLN_E_PATCH, "what should hold " + at.pointer() + " is neither object nor array");
        return *here;
    }

    void grow(const Target& at, const Json& by) {
        const Extent extent = extent_of(by);
        if (at.tokens.size() + extent.depth > limits_.max_depth)
            patch_.fail(
                at.node, BLN_E_DEPTH,
                "the document would nest deeper than the limit of " + std::to_string(limits_.max_depth) + " levels");
        grown_ += extent.bytes;
        if (grown_ > 0 && static_cast<std::uint64_t>(grown_) > limits_.max_bytes)
            patch_.fail(
                at.node, BLN_E_SIZE,
                "the document would grow by more than the limit of " + std::to_string(limits_.max_bytes) + " bytes");
    }

    void shrink(const Json& by) noexcept { grown_ -= extent_of(by).bytes; }

    void add(const Target& at, Json value) {
        if (at.root()) {
            shrink(target_);
            grow(at, value);
            target_ = std::move(value);
            return;
        }
        Json& holder = parent(at);
        const std::string& last = at.tokens.back();
        if (holder.is_object()) {
            if (const Json* old = holder.find(last)) shrink(*old);
            grow(at, value);
            holder.set(last, std::move(value));
            return;
        }
        const auto index = last == "-" ? std::optional(holder.items.size()) : array_index(last);
        if (!index) patch_.fail(at.node, BLN_E_PATCH, "\"" + last + "\" is no index of an array, nor - for its end");
        if (*index > holder.items.size())
            patch_.fail(
                at.node, BLN_E_PATCH,
                "index " + last + " is past the end: the array has " + std::to_string(holder.items.size()) + " items");
        grow(at, value);
        holder.items.insert(holder.items.begin() + static_cast<std::ptrdiff_t>(*index), std::move(value));
    }

    /// Removes what stands there, and returns it.
    Json take(const Target& at) {
        if (at.root()) patch_.fail(at.node, BLN_E_PATCH, "the whole document cannot be removed");
        Json& found = existing(at);
        Json& holder = parent(at);
        shrink(found);
        Json out = std::move(found);
        const auto i = &found - holder.items.data();  // NOLINT(bugprone-use-after-move): its place, not its content
        holder.items.erase(holder.items.begin() + i);
        if (holder.is_object()) holder.keys.erase(holder.keys.begin() + i);
        return out;
    }

    void replace(const Target& at, const Json& value) {
        Json& found = existing(at);
        shrink(found);
        grow(at, value);
        found = value;
    }

    void move(const Target& from, const Target& to) {
        const bool inside = from.tokens.size() < to.tokens.size() &&
                            std::equal(from.tokens.begin(), from.tokens.end(), to.tokens.begin());
        if (inside) patch_.fail(from.node, BLN_E_PATCH, "a value cannot be moved into itself");
        (void)existing(from);
        if (from.tokens == to.tokens) return;
        add(to, take(from));
    }

    void test(const Target& at, const Json& value) {
        const Json* found = find(at);
        if (found == nullptr) patch_.fail(at.node, BLN_E_PATCH_TEST, "there is nothing at " + at.pointer());
        if (equal(*found, value)) return;
        const auto shown = [](const Json& j) { return !j.is_object() && !j.is_array() && j.text.size() <= 80; };
        patch_.fail(value, BLN_E_PATCH_TEST,
                    shown(*found) && shown(value)
                        ? at.pointer() + " holds " + to_json(*found) + ", not " + to_json(value)
                        : at.pointer() + " does not hold what the patch relies on");
    }

    Json& target_;
    const JsonDocument& patch_;
    JsonLimits limits_;
    std::int64_t grown_ = 0;
};

}  // namespace

Json patched(Json target, const JsonDocument& patch, const JsonLimits& limits) {
    Patcher(target, patch, limits).run();
    return target;
}

}  // namespace bln
