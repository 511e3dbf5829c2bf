// Functions that must not need memory, and those that free.
#include "scenario.hpp"

namespace {

const Quiet rows[] = {
    {"bln_version_number", [](Fixture& f) { (void)f, (void)bln_version_number(); }},
    {"bln_version_text", [](Fixture& f) { (void)f, (void)bln_version_text(); }},
    {"bln_abi_number", [](Fixture& f) { (void)f, (void)bln_abi_number(); }},
    {"bln_status_name", [](Fixture& f) { (void)f, (void)bln_status_name(BLN_E_UNIT); }},
    {"bln_error_count", [](Fixture& f) { (void)bln_error_count(f.error); }},
    {"bln_error_status", [](Fixture& f) { (void)bln_error_status(f.error, 0); }},
    {"bln_error_message", [](Fixture& f) { (void)bln_error_message(f.error, 0); }},
    {"bln_error_subject", [](Fixture& f) { (void)bln_error_subject(f.error, 0); }},
    {"bln_error_pointer", [](Fixture& f) { (void)bln_error_pointer(f.error, 0); }},
    {"bln_error_line", [](Fixture& f) { (void)bln_error_line(f.error, 0); }},
    {"bln_error_column", [](Fixture& f) { (void)bln_error_column(f.error, 0); }},
    {"bln_error_byte", [](Fixture& f) { (void)bln_error_byte(f.error, 0); }},
    {"bln_text_data", [](Fixture& f) { (void)bln_text_data(f.text); }},
    {"bln_text_size", [](Fixture& f) { (void)bln_text_size(f.text); }},
    {"bln_kind_count", [](Fixture& f) { (void)f, (void)bln_kind_count(); }},
    {"bln_kind_at", [](Fixture& f) { (void)f, (void)bln_kind_at(3); }},
    {"bln_kind_name", [](Fixture& f) { (void)f, (void)bln_kind_name(BLN_KIND_CIRCUIT); }},
    {"bln_kind_collection", [](Fixture& f) { (void)f, (void)bln_kind_collection(BLN_KIND_CIRCUIT); }},
    {"bln_field_count", [](Fixture& f) { (void)f, (void)bln_field_count(BLN_KIND_CIRCUIT); }},
    {"bln_site_keep", [](Fixture& f) { bln_site_free(bln_site_keep(f.site)); }},
    {"bln_site_count", [](Fixture& f) { (void)bln_site_count(f.site, BLN_KIND_CIRCUIT); }},
    {"bln_site_id", [](Fixture& f) { (void)bln_site_id(f.site, BLN_KIND_CIRCUIT, 0); }},
    {"bln_site_find", [](Fixture& f) { (void)bln_site_find(f.site, BLN_KIND_CIRCUIT, "lift"); }},
    {"bln_policy_count", [](Fixture& f) { (void)f, (void)bln_policy_count(BLN_POLICY_CHECK); }},
    {"bln_report_count", [](Fixture& f) { (void)bln_report_count(f.report); }},
    {"bln_readings_count", [](Fixture& f) { (void)bln_readings_count(f.readings); }},
    {"bln_live_channel_count", [](Fixture& f) { (void)bln_live_channel_count(f.live); }},
    {"bln_live_point_count", [](Fixture& f) { (void)bln_live_point_count(f.live); }},
    {"bln_live_sum_count", [](Fixture& f) { (void)bln_live_sum_count(f.live); }},
    {"bln_intervals_channels", [](Fixture& f) { (void)bln_intervals_channels(f.intervals); }},
    {"bln_intervals_count", [](Fixture& f) { (void)bln_intervals_count(f.intervals); }},
    {"bln_intervals_first", [](Fixture& f) { (void)bln_intervals_first(f.intervals); }},
    {"bln_rollup_stream_intervals", [](Fixture& f) { (void)bln_rollup_stream_intervals(f.stream); }},
    {"bln_rollup_stream_done", [](Fixture& f) { (void)bln_rollup_stream_done(f.stream); }},
    {"bln_rollup_stream_rows", [](Fixture& f) { (void)bln_rollup_stream_rows(f.stream); }},
    {"bln_rollup_stream_row", [](Fixture& f) { (void)bln_rollup_stream_row(f.stream, 0); }},
    {"bln_statement_count", [](Fixture& f) { (void)bln_statement_count(f.statement); }},
    {"bln_statement_reconciliations", [](Fixture& f) { (void)bln_statement_reconciliations(f.statement); }},
    {"bln_statement_suspicions", [](Fixture& f) { (void)bln_statement_suspicions(f.statement); }},
    {"bln_zone_name", [](Fixture& f) { (void)bln_zone_name(f.zone); }},
    {"bln_zone_version", [](Fixture& f) { (void)bln_zone_version(f.zone); }},
    {"bln_zone_digest", [](Fixture& f) { (void)bln_zone_digest(f.zone); }},
    {"bln_tou_bins", [](Fixture& f) { (void)bln_tou_bins(f.tou); }},
    {"bln_tou_bin", [](Fixture& f) { (void)bln_tou_bin(f.tou, 0); }},
    {"bln_bins_count", [](Fixture& f) { (void)bln_bins_count(f.bins); }},
    {"bln_bins_total", [](Fixture& f) { (void)bln_bins_total(f.bins); }},
    {"bln_demand_count", [](Fixture& f) { (void)bln_demand_count(f.demand); }},
    {"bln_demand_find", [](Fixture& f) { (void)bln_demand_find(f.demand, 0); }},
    {"bln_apportionment_count", [](Fixture& f) { (void)bln_apportionment_count(f.apportionment); }},
    {"bln_apportionment_steps", [](Fixture& f) { (void)bln_apportionment_steps(f.apportionment); }},
    {"bln_form_built", [](Fixture& f) { (void)bln_form_built(f.form); }},
    {"bln_form_note_count", [](Fixture& f) { (void)bln_form_note_count(f.form); }},
    {"bln_form_conductor_count", [](Fixture& f) { (void)bln_form_conductor_count(f.form); }},
    {"bln_form_element_count", [](Fixture& f) { (void)bln_form_element_count(f.form); }},
    {"bln_intervals_channel", [](Fixture& f) { (void)bln_intervals_channel(f.intervals, 0); }},
    {"bln_arrangement_name_count", [](Fixture& f) { (void)f, (void)bln_arrangement_name_count(); }},
    {"bln_accuracy_class_count", [](Fixture& f) { (void)f, (void)bln_accuracy_class_count(); }},
};

const char* const freed[] = {
    "bln_error_free",     "bln_text_free",      "bln_draft_free",       "bln_site_free",     "bln_view_free",
    "bln_policy_free",    "bln_report_free",    "bln_catalogue_free",   "bln_readings_free", "bln_live_free",
    "bln_intervals_free", "bln_statement_free", "bln_arrangement_free", "bln_form_free",     "bln_rollup_stream_free",
    "bln_zone_free",      "bln_tou_free",       "bln_bins_free",        "bln_demand_free",   "bln_apportionment_free"};

}  // namespace

std::span<const Quiet> quiet() { return rows; }
std::span<const char* const> freed_by_fixture() { return freed; }
