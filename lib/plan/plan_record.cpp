// The plan written into the record, as a new record and as a patch.
#include <fmt/format.h>

#include <map>

#include "plan/plan.hpp"
#include "power/failure.hpp"
#include "site/difference.hpp"
#include "site/json_text.hpp"
#include "site/writer.hpp"

namespace bln::plan {
namespace {

class Writer {
public:
    explicit Writer(const Plan& plan) : plan_(plan), view_(*plan.view), model_(view_.model().clone()) {}

    std::unique_ptr<Model> write() {
        for (const PlanDevice& d : plan_.devices)
            if (d.added) device(d);
        for (const PlanRow& row : plan_.rows) {
            if (row.new_ct) ct(row);
            channel(row);
        }
        points();
        return std::move(model_);
    }

private:
    template <class Field>
    void put(Kind kind, std::string_view id, Field name, const Value& value) {
        const auto at = static_cast<std::uint32_t>(model_->find(kind, id));
        const auto field = static_cast<std::size_t>(name);
        const FieldInfo& f = info(kind).fields[field];
        const Cell* before = model_->entities(kind)[at].find(field);
        const bool history = before != nullptr && !before->assignments.empty();
        const Request& request = plan_.request;
        if (!f.dated) {
            if (!history) model_->set(kind, at, field, value);
            return;
        }
        if (!request.from && history)
            throw Failure(
                BLN_E_STATE,
                fmt::format("{} of {} {} has a history: say from when the plan holds", f.name, info(kind).name, id),
                std::string(id));
        if (!request.from && !request.recorded_at && request.reason.empty()) return model_->set(kind, at, field, value);
        Assignment a;
        if (request.from) a.from = *request.from;
        if (request.recorded_at) a.recorded_at = *request.recorded_at;
        a.reason = request.reason;
        a.value = value;
        model_->assign(kind, at, field, a);
    }
    static Value of_text(std::string_view text) {
        Value v;
        v.text = text;
        return v;
    }
    static Value of_integer(std::int64_t n) {
        Value v;
        v.integer = n;
        return v;
    }

    void device(const PlanDevice& d) {
        model_->add(Kind::device, d.id);
        put(Kind::device, d.id, field_of::device::profile, of_text(d.profile));
        put(Kind::device, d.id, field_of::device::service, of_text(d.service));
    }

    void ct(const PlanRow& row) {
        model_->add(Kind::ct, row.ct);
        put(Kind::ct, row.ct, field_of::ct::type, of_text(row.ct_type));
        const std::string key = fmt::format("{}:{}", row.circuit, row.pole);
        const TermText pass{key, Rational(1)};
        Value passes;
        passes.terms = {&pass, 1};
        put(Kind::ct, row.ct, field_of::ct::passes, passes);
        if (const as_of::ct_type* t = type_of(row); t != nullptr && t->mark_faces != Side::unknown)
            put(Kind::ct, row.ct, field_of::ct::mark_faces, of_integer(static_cast<std::int64_t>(t->mark_faces)));
    }

    [[nodiscard]] const as_of::ct_type* type_of(const PlanRow& row) const {
        const std::int32_t at = view_.model().find(Kind::ct_type, row.ct_type);
        return at < 0 ? nullptr : &view_.ct_type[static_cast<std::size_t>(at)];
    }

    void channel(const PlanRow& row) {
        if (row.new_channel) {
            model_->add(Kind::channel, row.channel);
            put(Kind::channel, row.channel, field_of::channel::device, of_text(row.device));
            put(Kind::channel, row.channel, field_of::channel::input, of_integer(row.input));
        }
        const std::int32_t circuit = view_.model().find(Kind::circuit, row.circuit);
        const std::string_view name = view_.circuit[static_cast<std::size_t>(circuit)].name;
        const std::string title =
            fmt::format("{} {}", name.empty() ? std::string_view(row.circuit) : name, row.conductor);
        put(Kind::channel, row.channel, field_of::channel::name, of_text(title));
        if (!row.ct.empty()) {
            const TermText lead{row.ct, Rational(1)};
            Value cts;
            cts.terms = {&lead, 1};
            put(Kind::channel, row.channel, field_of::channel::cts, cts);
        }
        put(Kind::channel, row.channel, field_of::channel::reference,
            of_integer(static_cast<std::int64_t>(row.reference)));
        if (const as_of::ct_type* t = type_of(row); t != nullptr && t->primary_amps && t->secondary) {
            put(Kind::channel, row.channel, field_of::channel::primary_amps, of_integer(*t->primary_amps));
            put(Kind::channel, row.channel, field_of::channel::secondary, of_integer(*t->secondary));
        }
    }

    void points() {
        std::map<std::string_view, std::vector<TermText>> elements;
        for (const PlanRow& row : plan_.rows) {
            std::vector<TermText>& terms = elements[row.point];
            if (terms.empty() && row.new_point) new_point(row);
            terms.push_back({row.channel, Rational(1)});
        }
        for (const auto& [id, terms] : elements) {
            Value v;
            v.terms = terms;
            put(Kind::point, id, field_of::point::elements, v);
        }
    }

    void new_point(const PlanRow& row) {
        const auto circuit = static_cast<std::size_t>(view_.model().find(Kind::circuit, row.circuit));
        model_->add(Kind::point, row.point);
        if (const std::string_view name = view_.circuit[circuit].name; !name.empty())
            put(Kind::point, row.point, field_of::point::name, of_text(name));
        const std::string_view id = row.circuit;
        Value circuits;
        circuits.texts = {&id, 1};
        put(Kind::point, row.point, field_of::point::circuits, circuits);
        const Role role = view_.circuit[circuit].role;
        const PointUse use = role == Role::main           ? PointUse::main
                             : role == Role::meter_supply ? PointUse::check
                                                          : PointUse::billing;
        put(Kind::point, row.point, field_of::point::use, of_integer(static_cast<std::int64_t>(use)));
    }

    const Plan& plan_;
    const View& view_;
    std::unique_ptr<Model> model_;
};

/// A `test` of every stored field among @p fields.
void append_tests(std::string& to, const Model& model, Kind kind, std::string_view id,
                  std::initializer_list<std::size_t> fields) {
    const std::int32_t at = model.find(kind, id);
    if (at < 0) return;
    for (const std::size_t field : fields) {
        const Cell* cell = model.entities(kind)[static_cast<std::size_t>(at)].find(field);
        if (cell == nullptr || cell->assignments.empty()) continue;
        std::string path = "/" + std::string(info(kind).collection);
        append_pointer_token(path, id);
        append_pointer_token(path, info(kind).fields[field].name);
        to += to.empty() ? "[\n" : ",\n";
        to += "  {\"op\": \"test\", \"path\": ";
        append_json_string(to, path);
        to += ", \"value\": ";
        append_field(to, info(kind).fields[field], *cell, JsonStyle::readable);
        to += '}';
    }
}
template <class... Field>
void tests_of(std::string& to, const Model& model, Kind kind, std::string_view id, Field... fields) {
    append_tests(to, model, kind, id, {static_cast<std::size_t>(fields)...});
}

}  // namespace

std::unique_ptr<Model> planned_record(const Plan& plan) {
    if (!plan.found) throw Failure(BLN_E_STATE, "there is no allocation to write: the constraints conflict");
    return Writer(plan).write();
}

std::string plan_patch(const Plan& plan) {
    const std::unique_ptr<Model> after = planned_record(plan);
    const Model& before = plan.view->model();
    std::string out;
    std::string_view circuit, point;
    for (const PlanRow& row : plan.rows) {
        using field_of::circuit::spaces;
        if (row.circuit != circuit)
            tests_of(out, before, Kind::circuit, row.circuit, field_of::circuit::panel, spaces,
                     field_of::circuit::phases, field_of::circuit::breaker_amps, field_of::circuit::neutral);
        if (row.point != point) tests_of(out, before, Kind::point, row.point, field_of::point::circuits);
        circuit = row.circuit;
        point = row.point;
    }
    for (const PlanDevice& d : plan.devices)
        tests_of(out, before, Kind::device, d.id, field_of::device::profile, field_of::device::service);
    const std::string difference = site_difference(before, *after);
    if (out.empty() || difference == "[]") return difference;
    return out + ",\n" + difference.substr(2);
}

}  // namespace bln::plan
