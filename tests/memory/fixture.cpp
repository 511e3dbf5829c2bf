#include "fixture.hpp"

#include <cstdint>
#include <cstdio>
#include <stdexcept>

namespace {

void must(bln_status status, bln_error* error) {
    if (status == BLN_OK) return;
    std::string why = bln_status_name(status);
    why += std::string(": ") + bln_error_message(error, 0) + " at " + bln_error_pointer(error, 0);
    bln_error_free(error);
    throw std::runtime_error(why);
}

template <class Call>
void must(Call&& call) {
    bln_error* error = nullptr;
    const bln_status status = call(&error);
    must(status, error);
}

}  // namespace

const std::string site_json =
    R"({"blondel":"1","name":"Small house","zone":"Europe/Berlin","ext":{"kept":[1,{"a":"b"}]},
"services":{"S":{"kind":"four_wire_wye","volts_ln":120,"volts_ll":208,"frequency_hz":60}},
"panels":{"P":{"service":"S","fed_from":"feeder","spaces":12,"numbering":"two_columns","bus":"ABC"}},
"circuits":{
 "flat-1":{"panel":"P","spaces":[1,3],"breaker_amps":40,"neutral":true,"role":"premises"},
 "flat-2":{"panel":"P","spaces":[2],"breaker_amps":{"dated":[
   {"value":20,"to":"2026-02-01T00:00:00Z"},
   {"value":25,"from":"2026-02-01T00:00:00Z","reason":"breaker exchanged","evidence":"visit"}]},"role":"premises"},
 "feeder":{"phases":"A","breaker_amps":100,"neutral":true,"role":"main"},
 "lift":{"panel":"P","spaces":[5,7,9],"breaker_amps":60,"neutral":false,"role":"common"}},
"ct_types":{"T":{"primary_amps":100,"secondary":333,"output":"millivolts","core":"split","mark_faces":"source","accuracy_class":"1"}},
"cts":{
 "c1":{"type":"T","mark_faces":"source","passes":{"flat-1:1":1}},
 "c2":{"type":"T","mark_faces":"source","passes":{"flat-1:2":1}},
 "c3":{"type":"T","mark_faces":"load","passes":{"flat-2:1":1}},
 "c4":{"type":"T","mark_faces":"source","passes":{"feeder:1":1}}},
"profiles":{"M":{"inputs":9,"groups":[3,3,3],"references":["A","B","C","N"],"input_kind":"millivolts","full_scale":333,"accuracy_class":"1"}},
"devices":{"D":{"profile":"M","service":"S","landed":["A","B","C","N"],"scaled_by":"device"}},
"channels":{
 "D.1":{"device":"D","input":1,"cts":{"c1":1},"reference":"A-N","primary_amps":100,"secondary":333,"multiplier":"2/2"},
 "D.2":{"device":"D","input":2,"cts":{"c2":1},"reference":"B-N","primary_amps":100,"secondary":333},
 "D.3":{"device":"D","input":3,"cts":{"c3":1},"reference":"A-N","primary_amps":200,"secondary":333},
 "D.4":{"device":"D","input":4,"cts":{"c4":1},"reference":"A-N","primary_amps":100,"secondary":333}},
"premises":{"1":{"name":"Ground floor","area_m2":61.5},"2":{"name":"First floor"}},
"points":{
 "b1":{"premises":"1","circuits":["flat-1"],"elements":{"D.1":1,"D.2":1}},
 "b2":{"premises":"2","circuits":["flat-2"],"elements":{"D.3":1}},
 "lacking":{"premises":"2","circuits":["flat-2"]},
 "m":{"use":"main","circuits":["feeder"],"elements":{"D.4":1}}},
"rollups":{"house":{"points":{"b1":1,"b2":1},"against":"m","tolerance_percent":1}},
"evidence":{"visit":{"at":"2026-02-01T09:30:00Z","by":"electrician","about":["circuit:flat-2:breaker_amps"]}}})";

const std::string readings_csv =
    "channel,volts,amps,watts,vars,angle_v_minus_i_deg\n"
    "D.1,120,20,2380,310,7.4\nD.2,120,18,2140,250,6.7\nD.3,121,9,-1080,-120,173.7\nD.4,120,45,5300,700,7.5\n";
const std::string plan_request = R"({"circuits": ["lift"], "from": "2026-03-01T00:00:00Z", "reason": "lift metered"})";
const bln_interval_rule interval_rule = {sizeof(bln_interval_rule), BLN_STAMP_START, 900'000'000, 1, 1, 0, 0};

namespace {

/// A named arrangement that goes round a load of three phases and neutral.
const char* fitting_arrangement() {
    for (std::size_t i = 0; i < bln_arrangement_name_count(); ++i) {
        const char* name = nullptr;
        bln_arrangement* trial = nullptr;
        must([&](auto e) { return bln_arrangement_name_at(i, &name, nullptr, e); });
        must([&](auto e) { return bln_arrangement_new("four_wire_wye", &trial, e); });
        must([&](auto e) { return bln_arrangement_load(trial, "ABCN", e); });
        const bool fits = bln_arrangement_use(trial, name, nullptr) == BLN_OK;
        bln_arrangement_free(trial);
        if (fits) return name;
    }
    throw std::runtime_error("no named arrangement fits a four-wire load");
}

/// Four days of quarter hours. D.1 registers backwards: what the main lacks has its profile.
std::string intervals() {
    std::string out = "channel,start,net_p,net_q,import_p,export_p\n";
    char line[120];
    const auto row = [&](const char* channel, int day, int quarter, int counts) {
        std::snprintf(line, sizeof line, "%s,2026-03-%02dT%02d:%02d:00Z,%d,%d,%d,%d\n", channel, 10 + day, quarter / 4,
                      quarter % 4 * 15, counts, counts / 7, counts > 0 ? counts : 0, counts < 0 ? -counts : 0);
        out += line;
    };
    for (int day = 0; day < 4; ++day)
        for (int quarter = 0; quarter < 96; ++quarter) {
            const int first = 40 + (quarter * 37 + day * 11) % 101 * 6;
            const int second = 60 + (quarter * 53 + day * 29) % 89 * 5;
            const int third = 20 + (quarter * 71 + day * 17) % 97 * 3;
            row("D.1", day, quarter, -first);
            row("D.2", day, quarter, second);
            row("D.3", day, quarter, third);
            row("D.4", day, quarter, first + second + third);
        }
    return out;
}

}  // namespace

const std::string intervals_csv = intervals();
const std::string trace_csv =
    "channel,step,before_amps,off_amps\nD.1,1,20,0\nD.1,2,20,0\nD.1,3,20,20\nD.2,1,9,5\nD.2,2,9,0\nD.2,3,9,4\n"
    "D.3,1,0,0\nX,1,7,0\nX,2,7,7\nX,3,7,7\n";
const char* const traced_breakers[] = {"flat-1", "flat-2", "lift", "x"};
const std::string phase_csv =
    "conductor,reference,volts\nflat-1:1,A,207\nflat-1:1,B,0.5\nflat-1:1,C,208\nflat-1:2,A,62\nP/5,P/7,0\n"
    "P/5,A,0\nP/7,A,208\nflat-2,N,120\nflat-2,X,1\n";

const bln_rollup_period stream_day = {
    sizeof(bln_rollup_period), 0, 1'773'100'800'000'000, 1'773'187'200'000'000, BLN_END_OF_TIME, 7, 1};

bln_status open_stream(const bln_site* site, bln_rollup_stream** out, bln_error** err) {
    static const char* const ids[] = {"D.1", "D.4"};
    return bln_rollup_stream_new(site, &stream_day, &interval_rule, stream_day.from, ids, 2, BLN_STREAM_DIGEST, nullptr,
                                 out, err);
}

bln_status push_stream(bln_rollup_stream* stream, bln_error** err) {
    static std::int32_t counts[96];  // copied: they are not 64 bits wide
    static std::int64_t net[5 * 96];
    const bln_column column = {counts, 4, nullptr, BLN_TYPE_I32, 0};
    const bln_column columns[] = {column, column};
    bln_rollup_block block{};
    block.size = sizeof block;
    block.intervals = 96;
    block.net_p = columns;
    bln_rollup_rows rows{};
    rows.size = sizeof rows;
    rows.stride = 96;
    rows.net = bln_rollup_stream_rows(stream) <= 5 ? net : nullptr;
    return bln_rollup_stream_push(stream, &block, &rows, err);
}

const std::string zone_bytes = [] {
    const auto part = [](char version) {
        std::string h = "TZif";
        h += version;
        h += std::string(15 + 4 * 4, '\0') + std::string("\0\0\0\1\0\0\0\4", 8);  // one type, four letters
        return h + std::string("\0\0\x0e\x10\0\0CET", 10);                        // one hour, and the NUL that ends CET
    };
    return part('2') + part('2') + "\nCET-1CEST,M3.5.0,M10.5.0/3\n";
}();
const std::string time_of_use_json =
    R"({"time_of_use":"1","bins":["high","low"],"holidays":["1970-01-01"],"tables":[{"seasons":[{"days":[
    {"on":["weekday","weekend","holiday"],"ranges":[{"from":"00:10","to":"12:00","bin":"high"}],"rest":"low"}]}]}]})";

namespace {
const std::int64_t counts[] = {3, 4, -5, 6};
const bln_column counts_column{counts, 8, nullptr, BLN_TYPE_I64, 0};
}  // namespace

const bln_equal_series equal_series{
    sizeof(bln_equal_series), 0, -3'600'000'000, 900'000'000, 4, 10, 1, counts_column, counts_column};
const bln_demand_rule demand_rule{sizeof(bln_demand_rule), 0, 1'800'000'000, 900'000'000};
const bln_share_rule share_rule{sizeof(bln_share_rule), BLN_SHARE_GIVEN, 100, 0, 86'400'000'000, "kWh"};
const bln_share_key share_keys[3] = {
    {sizeof(bln_share_key), BLN_KEY_WEIGHT, "a", BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, 1, 1, nullptr},
    {sizeof(bln_share_key), BLN_KEY_WEIGHT, "b", BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, 1, 1, nullptr},
    {sizeof(bln_share_key), BLN_KEY_CAP, "a", BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, 40, 1, nullptr}};

Fixture::Fixture() {
    const char* json = site_json.data();
    const std::size_t n = site_json.size();
    must([&](auto e) { return bln_draft_read(json, n, nullptr, &draft, e); });
    must([&](auto e) { return bln_draft_freeze(draft, &site, e); });
    must([&](auto e) { return bln_draft_set_real(draft, BLN_KIND_CIRCUIT, "lift", "breaker_amps", 80, nullptr, e); });
    must([&](auto e) { return bln_draft_remove(draft, BLN_KIND_CT, "c3", e); });
    must([&](auto e) { return bln_draft_freeze(draft, &other_site, e); });
    must([&](auto e) { return bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, e); });
    must([&](auto e) { return bln_policy_new(BLN_POLICY_CHECK, &policy, e); });
    must([&](auto e) { return bln_check(view, nullptr, nullptr, nullptr, &report, e); });
    if (bln_report_count(report) == 0) throw std::runtime_error("the record of the fixture has no finding");
    for (bln_finding row{}; with_fact < bln_report_count(report); ++with_fact) {
        row.size = sizeof row;
        must([&](auto e) { return bln_report_at(report, with_fact, &row, e); });
        if (row.fact_count > 0) break;
    }
    must([&](auto e) { return bln_catalogue_english(&text, e); });
    must([&](auto e) { return bln_catalogue_read(bln_text_data(text), bln_text_size(text), &catalogue, e); });
    must([&](auto e) { return bln_arrangement_new("four_wire_wye", &fresh_arrangement, e); });
    must([&](auto e) { return bln_arrangement_new("four_wire_wye", &arrangement, e); });
    must([&](auto e) { return bln_arrangement_load(arrangement, "ABCN", e); });
    arrangement_name = fitting_arrangement();
    must([&](auto e) { return bln_form_of_point(view, "b1", 1, &form, e); });
    must([&](auto e) { return bln_form_of_point(view, "lacking", 1, &noted_form, e); });
    if (bln_form_built(form) == 0 || bln_form_note_count(noted_form) == 0)
        throw std::runtime_error("the forms of the fixture are not as they should be");
    bln_hypothesis_options wirings{};
    wirings.size = sizeof wirings;
    wirings.kinds = BLN_HYPOTHESIS_REVERSED;
    must([&](auto e) {
        return bln_recheck_new(draft, BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr, &recheck, e);
    });
    must([&](auto e) {
        return bln_draft_set_real(draft, BLN_KIND_CIRCUIT, bln_site_id(site, BLN_KIND_CIRCUIT, 0), "breaker_amps", 1,
                                  nullptr, e);
    });
    must([&](auto e) { return bln_hypotheses_new(form, &wirings, &hypotheses, e); });
    must(
        [&](auto e) { return bln_readings_read_csv(readings_csv.data(), readings_csv.size(), nullptr, &readings, e); });
    must([&](auto e) { return bln_live_check(view, readings, nullptr, nullptr, nullptr, &live, e); });
    must([&](auto e) {
        return bln_proof_new(view, readings, nullptr, 0, nullptr, nullptr, nullptr, &proof, e);
    });
    for (bool found = false; !found; proven_point += found ? 0 : 1) {
        bln_proof_point row{};
        row.size = sizeof row;
        must([&](auto e) { return bln_proof_point_at(proof, proven_point, &row, e); });
        found = row.class_count > 0 && row.excluded_not > 0;
    }
    must([&](auto e) {
        return bln_intervals_read_csv(&interval_rule, intervals_csv.data(), intervals_csv.size(), nullptr, &intervals,
                                      e);
    });
    must(
        [&](auto e) { return bln_rollup(site, BLN_END_OF_TIME, intervals, nullptr, nullptr, nullptr, &statement, e); });
    must([&](auto e) { return open_stream(site, &stream, e); });
    must([&](auto e) { return push_stream(stream, e); });
    if (bln_live_channel_count(live) == 0 || bln_live_point_count(live) == 0 || bln_live_sum_count(live) == 0)
        throw std::runtime_error("a table of the live check is empty");
    if (bln_statement_count(statement) == 0 || bln_statement_reconciliations(statement) == 0 ||
        bln_statement_suspicions(statement) == 0)
        throw std::runtime_error("a table of the statement is empty");
    must([&](auto e) {
        return bln_zone_read("Europe/Berlin", zone_bytes.data(), zone_bytes.size(), "hand-made edition", &zone, e);
    });
    must([&](auto e) { return bln_tou_read(time_of_use_json.data(), time_of_use_json.size(), nullptr, &tou, e); });
    must([&](auto e) { return bln_tou_divide(tou, zone, &equal_series, BLN_STRADDLE_DIVIDE, &bins, e); });
    must([&](auto e) { return bln_demand_new(&demand_rule, zone, &equal_series, &demand, e); });
    must(
        [&](auto e) { return bln_apportion(&share_rule, nullptr, BLN_END_OF_TIME, share_keys, 3, &apportionment, e); });
    must([&](auto e) { return bln_plan_new(view, plan_request.data(), plan_request.size(), &plan, e); });
    if (bln_plan_count(plan) == 0) throw std::runtime_error("the plan of the fixture is empty");
    must([&](auto e) { return bln_expect_new(view, nullptr, &expect, e); });
    must([&](auto e) {
        return bln_phase_test_read_csv(view, "S", phase_csv.data(), phase_csv.size(), nullptr, nullptr, &phase_test, e);
    });
    must([&](auto e) { return bln_trace_new(4, traced_breakers, nullptr, nullptr, nullptr, &trace, e); });
    must([&](auto e) {
        return bln_trace_decode_csv(trace, view, trace_csv.data(), trace_csv.size(), nullptr, nullptr, &trace_result,
                                    e);
    });
    if (bln_expect_count(expect) == 0 || bln_phase_test_panel_count(phase_test) == 0)
        throw std::runtime_error("a table of the plan is empty");
    if (bln_draft_add(draft, BLN_KIND_CT, "not an id", &error) != BLN_E_VALUE)
        throw std::runtime_error("a wrong id was taken");
}

void Fixture::release() noexcept {
    bln_plan_free(plan);
    plan = nullptr;
    bln_expect_free(expect);
    bln_phase_test_free(phase_test);
    bln_trace_free(trace);
    bln_trace_result_free(trace_result);
    trace = nullptr;
    trace_result = nullptr;
    expect = nullptr;
    phase_test = nullptr;
    bln_zone_free(zone);
    bln_tou_free(tou);
    bln_bins_free(bins);
    bln_demand_free(demand);
    bln_apportionment_free(apportionment);
    zone = nullptr;
    tou = nullptr;
    bins = nullptr;
    demand = nullptr;
    apportionment = nullptr;
    bln_site_free(site);
    bln_draft_free(draft);
    bln_view_free(view);
    bln_site_free(other_site);
    bln_catalogue_free(catalogue);
    bln_policy_free(policy);
    bln_report_free(report);
    bln_arrangement_free(arrangement);
    bln_arrangement_free(fresh_arrangement);
    bln_form_free(form);
    bln_form_free(noted_form);
    bln_hypotheses_free(hypotheses);
    bln_recheck_free(recheck);
    bln_intervals_free(intervals);
    bln_readings_free(readings);
    bln_live_free(live);
    bln_proof_free(proof);
    bln_statement_free(statement);
    bln_rollup_stream_free(stream);
    bln_text_free(text);
    bln_error_free(error);
    site = nullptr;
    draft = nullptr;
    view = nullptr;
    other_site = nullptr;
    catalogue = nullptr;
    policy = nullptr;
    report = nullptr;
    arrangement = nullptr;
    fresh_arrangement = nullptr;
    form = nullptr;
    noted_form = nullptr;
    hypotheses = nullptr;
    recheck = nullptr;
    intervals = nullptr;
    readings = nullptr;
    live = nullptr;
    proof = nullptr;
    statement = nullptr;
    stream = nullptr;
    text = nullptr;
    error = nullptr;
}

std::string Fixture::state() const {
    std::string out;
    bln_site* frozen = nullptr;
    bln_text* json = nullptr;
    must([&](auto e) { return bln_draft_freeze(draft, &frozen, e); });
    must([&](auto e) { return bln_site_json(frozen, BLN_JSON_READABLE, &json, e); });
    out = bln_text_data(json);
    bln_text_free(json);
    bln_site_free(frozen);
    bln_form* so_far = nullptr;
    must([&](auto e) { return bln_form_of_arrangement(arrangement, &so_far, e); });
    must([&](auto e) { return bln_form_json(so_far, &json, e); });
    out += bln_text_data(json);
    bln_text_free(json);
    bln_form_free(so_far);
    for (std::size_t i = 0; i < bln_policy_count(BLN_POLICY_CHECK); ++i) {
        bln_policy_info row{};
        row.size = sizeof row;
        double value = 0;
        must([&](auto e) { return bln_policy_at(BLN_POLICY_CHECK, i, &row, e); });
        must([&](auto e) { return bln_policy_get(policy, row.key, &value, e); });
        out += row.key + ("=" + std::to_string(value) + "\n");
    }
    return out;
}
