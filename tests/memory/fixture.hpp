// Objects of every kind that the scenarios call functions on.
#pragma once

#include <blondel/blondel.h>

#include <cstddef>
#include <string>

/// Makes everything, from one small record with one mistake in it; frees everything, in an order that
/// suits nobody. Construction throws when the library fails.
class Fixture {
public:
    Fixture();
    ~Fixture() { release(); }
    Fixture(const Fixture&) = delete;
    Fixture& operator=(const Fixture&) = delete;
    void release() noexcept;
    /// What a failed call must leave alone: draft, policy and arrangement, written out.
    [[nodiscard]] std::string state() const;

    bln_draft* draft = nullptr;
    bln_site* site = nullptr;
    bln_site* other_site = nullptr;  ///< differs from site in a few fields
    bln_view* view = nullptr;
    bln_policy* policy = nullptr;
    bln_report* report = nullptr;
    bln_catalogue* catalogue = nullptr;
    bln_recheck* recheck = nullptr;  ///< of the draft before its last edit
    bln_arrangement* arrangement = nullptr;        ///< a four-wire load, no elements yet
    bln_arrangement* fresh_arrangement = nullptr;  ///< no load yet
    const char* arrangement_name = nullptr;        ///< a named arrangement for that load
    bln_form* form = nullptr;
    bln_form* noted_form = nullptr;  ///< the record does not suffice for it
    bln_hypotheses* hypotheses = nullptr;
    bln_readings* readings = nullptr;
    bln_live* live = nullptr;
    bln_proof* proof = nullptr;
    std::size_t proven_point = 0;  ///< a point with classes and with something that is not excluded
    bln_intervals* intervals = nullptr;
    bln_statement* statement = nullptr;
    bln_rollup_stream* stream = nullptr;  ///< of one day, all of which has come
    bln_zone* zone = nullptr;
    bln_tou* tou = nullptr;
    bln_bins* bins = nullptr;
    bln_demand* demand = nullptr;
    bln_apportionment* apportionment = nullptr;
    bln_plan* plan = nullptr;
    bln_expect* expect = nullptr;
    bln_phase_test* phase_test = nullptr;
    bln_trace* trace = nullptr;
    bln_trace_result* trace_result = nullptr;
    bln_text* text = nullptr;
    bln_error* error = nullptr;
    std::size_t with_fact = 0;  ///< a finding of the report that has a fact

    /// One output handle after a call: poison before it, NULL after a failure, an object after success.
    bool outputs_right = true;
};

/// The text of the record; every type of field stands in it.
extern const std::string site_json;
extern const std::string readings_csv;
extern const std::string plan_request;
extern const std::string intervals_csv;
extern const std::string trace_csv;  ///< of four breakers in three steps or more
extern const char* const traced_breakers[4];
extern const std::string phase_csv;  ///< with a contradiction in it
extern const bln_interval_rule interval_rule;
/// One day of the stream.
extern const bln_rollup_period stream_day;
/// Opens the stream of the fixture; without reactive energy.
bln_status open_stream(const bln_site* site, bln_rollup_stream** out, bln_error** err);
/// Pushes all of it.
bln_status push_stream(bln_rollup_stream* stream, bln_error** err);
extern const std::string zone_bytes;  ///< TZif with nothing but a rule for all years
extern const std::string time_of_use_json;
extern const bln_equal_series equal_series;
extern const bln_demand_rule demand_rule;
extern const bln_share_rule share_rule;
extern const bln_share_key share_keys[3];

/// Calls @p call with a handle to fill and frees what it made.
template <class T, class Call>
bln_status made(Fixture& f, void (*free)(T*), Call&& call) {
    static char poison;
    T* out = reinterpret_cast<T*>(&poison);
    const bln_status status = call(&out);
    if (status == BLN_OK) {
        f.outputs_right = f.outputs_right && out != nullptr && out != reinterpret_cast<T*>(&poison);
        free(out);
    } else {
        f.outputs_right = f.outputs_right && out == nullptr;
    }
    return status;
}

template <class Call>
bln_status made_text(Fixture& f, Call&& call) {
    return made<bln_text>(f, bln_text_free, call);
}
