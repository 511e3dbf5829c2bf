// What stands behind the opaque types of the C API.
#pragma once

#include <atomic>
#include <memory>
#include <string>

#include "capi/guard.hpp"
#include "site/finding.hpp"
#include "site/model.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

struct bln_text {
    std::string data;
};

struct bln_draft {
    /// Shared with checks that follow its edits: they may outlive it.
    std::shared_ptr<bln::Model> model;
};

struct bln_site {
    std::shared_ptr<const bln::Model> model;
    /// Holders of this handle itself (bln_site_keep); the model has its own count.
    mutable std::atomic<std::size_t> holders{1};
};

struct bln_view {
    std::shared_ptr<const bln::View> view;
};

struct bln_policy {
    std::int32_t domain;
    bln::Policy values;
};

struct bln_report {
    bln::Report report;
    /// The record that was judged, so that its digest is worked out only where somebody asks for it.
    std::shared_ptr<const bln::Model> model;
};

namespace bln::capi {

/// Makes the handle completely, then publishes it. NULL stands in *out until then.
template <class Handle, class Make>
bln_status create(Handle** out, bln_error** err, Make&& make) noexcept {
    return guarded(err, [&] {
        required(out, "out") = nullptr;
        std::unique_ptr<Handle> made = std::forward<Make>(make)();
        *out = made.release();
    });
}

inline std::unique_ptr<bln_text> text_of(std::string s) {
    auto t = std::make_unique<bln_text>();
    t->data = std::move(s);
    return t;
}

}  // namespace bln::capi
