// Policies: limits that the user may set.
#include "common.hpp"

namespace binding {

namespace {

py::list keys(std::int32_t domain) {
    py::list all;
    const std::size_t n = bln_policy_count(domain);
    for (std::size_t i = 0; i < n; ++i) {
        bln_policy_info info{};
        info.size = sizeof info;
        call([&](bln_error** err) { return bln_policy_at(domain, i, &info, err); });
        all.append(py::make_tuple(to_str(info.key), to_str(info.unit), to_str(info.doc), to_str(info.source),
                                  info.initial, info.low, info.high));
    }
    return all;
}

}  // namespace

void bind_policy(py::module_& m) {
    m.attr("POLICY_CHECK") = static_cast<int>(BLN_POLICY_CHECK);
    m.attr("POLICY_LIVE") = static_cast<int>(BLN_POLICY_LIVE);
    m.attr("POLICY_ENERGY") = static_cast<int>(BLN_POLICY_ENERGY);
    m.attr("POLICY_PHASE_TEST") = static_cast<int>(BLN_POLICY_PHASE_TEST);
    m.attr("POLICY_TRACE") = static_cast<int>(BLN_POLICY_TRACE);
    m.def("policy_keys", &keys);
    py::class_<Policy>(m, "Policy")
        .def(py::init([](std::int32_t domain) {
            Policy policy;
            call([&](bln_error** err) { return bln_policy_new(domain, policy.out(), err); });
            return policy;
        }))
        .def("set",
             [](Policy& policy, const py::object& key, double value) {
                 const CText text(key, "key");
                 call([&](bln_error** err) { return bln_policy_set(policy.get(), text.get(), value, err); });
             })
        .def("get",
             [](const Policy& policy, const py::object& key) {
                 const CText text(key, "key");
                 double value = 0;
                 call([&](bln_error** err) { return bln_policy_get(policy.get(), text.get(), &value, err); });
                 return value;
             })
        .def("read", [](Policy& policy, const py::object& json) {
            const Bytes bytes(json);
            call([&](bln_error** err) { return bln_policy_read(policy.get(), bytes.data(), bytes.size(), err); });
        });
}

}  // namespace binding
