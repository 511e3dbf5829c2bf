// blondel._blondel: the C interface, call by call. The Python package around it gives it its shape.
#include "common.hpp"

PYBIND11_MODULE(_blondel, m) {
    m.doc() = "The C interface of Blondel, call by call; use the package blondel instead.";
    binding::bind_table(m);
    binding::bind_site(m);
    binding::bind_draft(m);
    binding::bind_view(m);
    binding::bind_policy(m);
    binding::bind_report(m);
    binding::bind_form(m);
    binding::bind_json(m);
    binding::bind_live(m);
    binding::bind_proof(m);
    binding::bind_quantities(m);
    binding::bind_energy(m);
    binding::bind_rollup(m);
    binding::bind_calendar(m);
    binding::bind_uncertainty(m);
    binding::bind_recheck(m);
    binding::bind_plan(m);
    binding::bind_field_tests(m);
}
