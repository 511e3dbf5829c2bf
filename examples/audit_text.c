/* SPDX-License-Identifier: Apache-2.0 */
#include <errno.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "audit.h"

char* read_file(const char* path, size_t* size) {
    FILE* file = fopen(path, "rb");
    char* data = NULL;
    size_t used = 0, room = 0;
    if (file == NULL) {
        fprintf(stderr, "%s: %s\n", path, strerror(errno));
        return NULL;
    }
    for (;;) {
        if (used == room) {
            char* more = realloc(data, room = room == 0 ? 65536 : room * 2);
            if (more == NULL) {
                fprintf(stderr, "%s: out of memory\n", path);
                break;
            }
            data = more;
        }
        const size_t got = fread(data + used, 1, room - used, file);
        used += got;
        if (got == 0) {
            if (ferror(file)) {
                fprintf(stderr, "%s: cannot be read\n", path);
                break;
            }
            fclose(file);
            *size = used;
            return data;
        }
    }
    free(data);
    fclose(file);
    return NULL;
}

bool worked(bln_status status, bln_error** error, const char* what) {
    if (status == BLN_OK) return true;
    fprintf(stderr, "%s: %s\n", what, bln_status_name(status));
    for (size_t i = 0; i < bln_error_count(*error); ++i) {
        const uint64_t line = bln_error_line(*error, i);
        fputs("  ", stderr);
        if (line > 0)
            fprintf(stderr, "line %llu, column %llu: ", (unsigned long long)line,
                    (unsigned long long)bln_error_column(*error, i));
        if (*bln_error_subject(*error, i)) fprintf(stderr, "%s: ", bln_error_subject(*error, i));
        fprintf(stderr, "%s\n", bln_error_message(*error, i));
    }
    bln_error_free(*error);
    *error = NULL;
    return false;
}

/* Columns of UTF-8 text: bytes that begin a character. */
static int width(const char* text, size_t bytes) {
    int columns = 0;
    for (size_t i = 0; i < bytes; ++i) columns += (text[i] & 0xC0) != 0x80;
    return columns;
}

void wrap(const char* first, const char* text) {
    const int indent = width(first, strlen(first));
    int column = indent;
    bool begun = false;
    fputs(first, stdout);
    while (*text != '\0') {
        const size_t word = strcspn(text, " \n");
        const int columns = width(text, word);
        if (word > 0) {
            if (begun && column + 1 + columns > COLUMNS) {
                printf("\n%*s", indent, "");
                column = indent;
            } else if (begun) {
                putchar(' ');
                ++column;
            }
            printf("%.*s", (int)word, text);
            column += columns;
            begun = true;
        }
        text += word;
        if (*text != '\0') ++text;
    }
    putchar('\n');
}

void append(char* to, size_t room, const char* format, ...) {
    const size_t used = strlen(to);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(to + used, room - used, format, arguments);
    va_end(arguments);
}
