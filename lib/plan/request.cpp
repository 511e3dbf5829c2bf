#include "plan/request.hpp"

#include "site/canonical.hpp"
#include "site/instant.hpp"
#include "site/json_reading.hpp"
#include "site/model.hpp"
#include "site/value_reader.hpp"

namespace bln::plan {
namespace {

class RequestReader : JsonReading {
public:
    using JsonReading::JsonReading;

    Request read() {
        object(root(), "a request is an object");
        for (std::size_t i = 0; i < root().keys.size(); ++i) member(root().keys[i], root().items[i]);
        out_.canonical = canonical(root());
        return std::move(out_);
    }

private:
    Named named(std::string_view id, const Json& at) const {
        if (!valid_id(id))
            fail(at, BLN_E_VALUE, "\"" + std::string(id) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -");
        return {std::string(id), pointer_of(at)};
    }
    std::vector<Named> ids(const Json& j) const {
        std::vector<Named> out;
        for (const Json& item : list(j)) out.push_back(named(text(item), item));
        return out;
    }
    std::vector<int> inputs(const Json& j) const {
        std::vector<int> out;
        for (const Json& item : list(j)) out.push_back(whole(item, 1, 10'000));
        return out;
    }
    Instant instant(const Json& j) const {
        Instant at = 0;
        const Trouble trouble = take_instant({Scalar::Kind::string, false, text(j)}, at);
        if (trouble) fail(j, trouble.status, trouble.message);
        return at;
    }

    void member(std::string_view key, const Json& j) {
        AllocationRules& rules = out_.rules;
        if (key == "points")
            out_.points = ids(j);
        else if (key == "circuits")
            out_.circuits = ids(j);
        else if (key == "profiles")
            out_.profiles = ids(j);
        else if (key == "devices")
            out_.devices = ids(j);
        else if (key == "ct_types")
            out_.ct_types = ids(j);
        else if (key == "device_ids")
            for (const Named& n : ids(j)) out_.device_ids.push_back(n.id);
        else if (key == "pins")
            pins(j);
        else if (key == "reserved")
            reserved(j);
        else if (key == "across_connectors")
            rules.across_groups = truth(j);
        else if (key == "spare_per_device")
            rules.spare_per_device = whole(j, 0, 10'000);
        else if (key == "spare_percent")
            rules.spare_percent = percent(j);
        else if (key == "most_new_devices")
            rules.most_new_devices = whole(j, 0, 1'000'000);
        else if (key == "order")
            order(j);
        else if (key == "split_points")
            out_.split_points = truth(j);
        else if (key == "one_panel_per_device")
            out_.one_panel_per_device = truth(j);
        else if (key == "elements")
            out_.fewest_elements = word(j, {"per_pole", "fewest"}) == 1;
        else if (key == "walk")
            out_.by_side = word(j, {"by_number", "by_side"}) == 1;
        else if (key == "output")
            output(j);
        else if (key == "from")
            out_.from = instant(j);
        else if (key == "recorded_at")
            out_.recorded_at = instant(j);
        else if (key == "reason")
            out_.reason = text(j);
        else
            fail(j, BLN_E_FIELD, "a request has no key \"" + std::string(key) + "\"");
    }

    void output(const Json& j) {
        const int at = choices_Output.find(text(j));
        if (at < 0) fail(j, BLN_E_VALUE, "\"" + j.text + "\" is no output of a CT");
        out_.output = static_cast<Output>(at);
    }
    void order(const Json& j) {
        std::vector<Wish> wishes;
        for (const Json& item : list(j)) {
            const auto w = static_cast<Wish>(word(item, {"fewest_inputs", "panel_order"}));
            if (!wishes.empty() && wishes.front() == w) fail(item, BLN_E_VALUE, "it stands twice");
            wishes.push_back(w);
        }
        if (wishes.size() != 2)
            fail(j, BLN_E_VALUE, "it names fewest_inputs and panel_order, in the order in which they count");
        out_.rules.order = {wishes[0], wishes[1]};
    }
    void pins(const Json& j) {
        object(j, "pins is an object: circuit to {\"device\", \"inputs\"}");
        for (std::size_t i = 0; i < j.keys.size(); ++i) {
            const Json& to = object(j.items[i], "a pin is an object of device and inputs");
            PinWish pin{named(j.keys[i], to), {}, {}};
            for (std::size_t k = 0; k < to.keys.size(); ++k) {
                if (to.keys[k] == "device")
                    pin.device = named(text(to.items[k]), to.items[k]);
                else if (to.keys[k] == "inputs")
                    pin.inputs = inputs(to.items[k]);
                else
                    fail(to.items[k], BLN_E_FIELD, "a pin has no key \"" + to.keys[k] + "\"");
            }
            if (pin.device.id.empty()) fail(to, BLN_E_VALUE, "the pin does not say which device");
            out_.pins.push_back(std::move(pin));
        }
    }
    void reserved(const Json& j) {
        object(j, "reserved is an object: device to inputs");
        for (std::size_t i = 0; i < j.keys.size(); ++i)
            out_.reserved.push_back({named(j.keys[i], j.items[i]), inputs(j.items[i])});
    }

    Request out_;
};

}  // namespace

Request Request::read(std::string_view json) { return RequestReader(json).read(); }

}  // namespace bln::plan
