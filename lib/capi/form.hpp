// What stands behind the form's opaque types.
#pragma once

#include <memory>
#include <string_view>
#include <vector>

#include "capi/handles.hpp"
#include "site/point_form.hpp"

struct bln_arrangement {
    bln::as_of::service service;
    bln::Form form;
};

struct bln_form {
    std::shared_ptr<const bln::View> view;  ///< null for an arrangement; owns the ids in `point`
    bln::PointForm point;
    std::vector<std::string_view> names;  ///< of the loads
};

namespace bln::capi {

/// The form, or BLN_E_STATE with the first note that stopped it.
const Form& built(const bln_form* form);
/// Circuit or channel id, or "" in an arrangement.
std::string_view circuit_of(const bln_form& form, std::size_t conductor) noexcept;
std::string_view channel_of(const bln_form& form, std::size_t element) noexcept;

}  // namespace bln::capi
