#include "site/entity_lines.hpp"

#include <algorithm>
#include <string_view>

#include "site/writer.hpp"

namespace bln {
namespace {

/// Characters, as far as alignment cares.
std::size_t width_of(std::string_view utf8) noexcept {
    return static_cast<std::size_t>(std::count_if(
        utf8.begin(), utf8.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

/// One collection, a line for each entity. A field that most entities have gets a column, so that a
/// person can read down; what is longer than a column pushes the rest of its line to the right.
class Table {
public:
    Table(Kind kind, const std::vector<Entity>& entities) : kind_(info(kind)), entities_(entities) {
        for (const Entity& e : entities) {
            id_width_ = std::max(id_width_, e.id.size());
            for (std::size_t f = 0; f < kind_.field_count; ++f) {
                const Cell* cell = shown(e, f);
                if (cell == nullptr) continue;
                const std::size_t begin = text_.size();
                text_ += '"';
                text_ += kind_.fields[f].name;
                text_ += "\": ";
                append_field(text_, kind_.fields[f], *cell, JsonStyle::readable);
                pieces_.push_back({begin, text_.size(), width_of(std::string_view(text_).substr(begin))});
            }
        }
        lay_out();
    }

    void append(std::string& to) const {
        std::size_t piece = 0;
        for (std::size_t i = 0; i < entities_.size(); ++i) {
            const Entity& e = entities_[i];
            to += i == 0 ? "\n    \"" : ",\n    \"";
            to += e.id;
            to += "\": ";
            to.append(id_width_ - e.id.size(), ' ');
            to += '{';
            std::size_t column = 0;
            bool first = true;
            for (std::size_t f = 0; f < kind_.field_count; ++f) {
                if (shown(e, f) == nullptr) continue;
                if (!first) to += ", ";
                if (!first) column += 2;
                first = false;
                if (width_[f] > 0 && column < start_[f]) {
                    to.append(start_[f] - column, ' ');
                    column = start_[f];
                }
                const Piece& p = pieces_[piece++];
                to.append(text_, p.begin, p.end - p.begin);
                column += p.width;
            }
            if (!e.ext.empty()) {
                to += first ? "\"ext\": " : ", \"ext\": ";
                append_ext(to, e.ext, JsonStyle::readable);
            }
            to += '}';
        }
        to += "\n  ";
    }

private:
    struct Piece {
        std::size_t begin, end, width;
    };
    static constexpr std::size_t widest_column = 36;

    void lay_out() {
        std::vector<std::size_t> count(kind_.field_count), width(kind_.field_count);
        std::size_t piece = 0;
        for (const Entity& e : entities_)
            for (std::size_t f = 0; f < kind_.field_count; ++f) {
                if (shown(e, f) == nullptr) continue;
                const Piece& p = pieces_[piece++];
                ++count[f];
                if (p.width <= widest_column) width[f] = std::max(width[f], p.width);
            }
        std::size_t start = 0;
        start_.resize(kind_.field_count);
        width_.resize(kind_.field_count);
        for (std::size_t f = 0; f < kind_.field_count; ++f) {
            start_[f] = start;
            if (2 * count[f] < entities_.size() || width[f] == 0) continue;
            width_[f] = width[f];
            start += width[f] + 2;
        }
    }

    const KindInfo& kind_;
    const std::vector<Entity>& entities_;
    std::size_t id_width_ = 0;
    std::string text_;
    std::vector<Piece> pieces_;
    std::vector<std::size_t> start_, width_;
};

}  // namespace

void append_entity_lines(std::string& to, Kind kind, const std::vector<Entity>& entities) {
    Table(kind, entities).append(to);
}

}  // namespace bln
