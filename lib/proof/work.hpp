// A point while it is worked on, and the voltage leads that all points of one device share.
#pragma once

#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "proof/verdict.hpp"

namespace bln::infer {

struct Work {
    std::size_t point = 0, snapshots = 0;
    PointForm form;
    std::vector<std::size_t> load;  ///< by group: number of the load in the form
    std::vector<Group> groups;
};

/// Everything that is the same for all points of a call.
class Bench {
public:
    Bench(const View& v, const Readings& r, std::span<const ProofTest> t, const Policy& p, const proof::SortedRows& s)
        : view(v), readings(r), tests(t), policy(p), rows(s), laws(p) {}

    /// Form, loads and readings of a point.
    [[nodiscard]] Work prepare(std::size_t point);
    /// Posterior of every load of these points. @p shared: they are all points of one device, whose leads may be
    /// landed otherwise than recorded.
    void infer(std::vector<Work>& works, bool shared);

    const View& view;
    const Readings& readings;
    std::span<const ProofTest> tests;
    const Policy& policy;
    const proof::SortedRows& rows;
    const Laws laws;

private:
    struct One {
        Work* work;
        std::size_t group;
        std::vector<Mapped> maps;
        std::vector<double> evidence;  ///< by map
        bool doubtful = false;
    };
    [[nodiscard]] const Shape& shape_of(const PointForm& form, const Form& leads, std::size_t load, const Group& g);
    void explain(One& one, std::int8_t map, const Form& leads, double log_prior);

    std::unordered_map<std::string, std::unique_ptr<Shape>> shapes_;
};

}  // namespace bln::infer
