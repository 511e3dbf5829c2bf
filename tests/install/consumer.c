/* The least a user of the C interface does: check the versions, fail, read the error, free it. */
#include <blondel/blondel.h>

#include <stdio.h>
#include <string.h>

int main(void) {
    bln_draft *draft = NULL;
    bln_site *site = NULL;
    bln_error *error = NULL;
    const char *wrong = "{\"blondel\":\"1\",\n \"circuits\":{\"c\":{\"breaker_amps\":\"60 A\"}}}";

    if (bln_version_number() != BLN_VERSION_NUMBER || strcmp(bln_version_text(), BLN_VERSION_TEXT) != 0) {
        fprintf(stderr, "header %s, library %s\n", BLN_VERSION_TEXT, bln_version_text());
        return 1;
    }
    if (bln_draft_new(&draft, &error) != BLN_OK ||
        bln_draft_add(draft, BLN_KIND_CIRCUIT, "lift", &error) != BLN_OK ||
        bln_draft_set_real(draft, BLN_KIND_CIRCUIT, "lift", "breaker_amps", 25.0, NULL, &error) != BLN_OK ||
        bln_draft_freeze(draft, &site, &error) != BLN_OK) {
        fprintf(stderr, "%s\n", bln_error_message(error, 0));
        return 1;
    }
    bln_draft_free(draft); /* any order */
    if (bln_site_count(site, BLN_KIND_CIRCUIT) != 1 || bln_site_find(site, BLN_KIND_CIRCUIT, "lift") != 0) return 1;
    bln_site_free(site);

    if (bln_site_read(wrong, strlen(wrong), NULL, &site, &error) != BLN_E_UNIT || site != NULL) return 1;
    if (bln_error_line(error, 0) != 2 || strcmp(bln_error_pointer(error, 0), "/circuits/c/breaker_amps") != 0) {
        fprintf(stderr, "line %lu, %s\n", (unsigned long)bln_error_line(error, 0), bln_error_pointer(error, 0));
        return 1;
    }
    bln_error_free(error);
    printf("blondel %s\n", bln_version_text());
    return 0;
}
