#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Writes docs/guides/fields.md from the field table, so that the two cannot differ.

    make_fields.py          writes it
    make_fields.py check    says whether it is current
"""

import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
HERE = ROOT / "docs/guides/fields.md"
STRING = r'"((?:[^"\\]|\\.)*)"'

TYPES = {
    "text": "text", "boolean": "true or false", "integer": "integer", "real": "number",
    "rational": 'integer or "p/q"', "instant": "instant, RFC 3339", "integers": "list of integers",
    "texts": "list of texts",
}


def macro(text, name):
    """Body of one macro, with its continued lines joined."""
    body = re.search(rf"#define {name}\(\w+\)((?:[^\n]*\\\n)*[^\n]*)", text).group(1)
    return body.replace("\\\n", " ")


def number(text):
    return text if len(text) < 7 else f"{float(text):g}"


def main(arguments):
    fields = (ROOT / "lib/site/fields.hpp").read_text(encoding="utf-8")
    choices = (ROOT / "lib/site/choices.hpp").read_text(encoding="utf-8")
    kinds = re.findall(rf"K\((\w+),\s*{STRING},\s*\d+,\s*{STRING}\)", macro(fields, "BLN_KINDS"))
    collection = {name: key for name, key, _ in kinds}
    out = ["# Fields of a site file", "",
           "Written by `docs/guides/make_fields.py` from the field table `lib/site/fields.hpp`; do not edit it here.",
           "How to read it: [Writing a site file by hand](site-file.md).", "",
           "*Layer*: `plan` is what the site is meant to be, `as built` what hangs on the wall, `configured` what the",
           "device was told. *Dated*: the field may change over time. An absent field is unknown.", ""]
    used = []
    for kind, key, doc in kinds:
        out += [f"## {key or 'top of the file'}", "", doc[0].upper() + doc[1:] + ".", "",
                "| field | value | unit, range | layer | dated | meaning |", "|---|---|---|---|---|---|"]
        rows = re.findall(rf'F\((\w+),\s*(\w+),\s*(\w+),\s*(\w+),\s*(\w+),\s*{STRING},\s*([\d.-]+),\s*([\d.-]+),\s*{STRING}\)',
                          macro(fields, f"BLN_FIELDS_{kind}"))
        for name, type_, argument, dated, layer, unit, low, high, meaning in rows:
            if type_ == "ref":
                value = f"id in `{collection[argument]}`"
            elif type_ == "refs":
                value = f"list of ids in `{collection[argument]}`"
            elif type_ == "terms":
                value = f"object: id in `{collection[argument]}` to ratio"
            elif type_ == "passes":
                value = "object: conductor to signed turns"
            elif type_ == "choice":
                value = f"one word of {argument}, below"
                if argument not in used:
                    used.append(argument)
            else:
                value = TYPES[type_]
            limits = "" if low == high == "0" else f"{number(low)} to {number(high)}"
            limits = ", ".join(filter(None, (unit, limits)))
            out.append(f"| `{name}` | {value} | {limits} | {layer.replace('_', ' ')} | "
                       f"{'yes' if dated == 'dated' else ''} | {meaning} |")
        out.append("")
    out += ["# Words", ""]
    for name in used:
        out += [f"## {name}", "", "| word | meaning |", "|---|---|"]
        out += [f"| `{word}` | {meaning} |"
                for word, meaning in re.findall(rf"X\(\w+,\s*{STRING},\s*{STRING}\)", macro(choices, f"BLN_CHOICES_{name}"))]
        out.append("")
    text = "\n".join(out)
    if arguments == ["check"]:
        if not HERE.is_file() or HERE.read_text(encoding="utf-8") != text:
            print("docs/guides/fields.md is not current; run docs/guides/make_fields.py", file=sys.stderr)
            return 1
        return 0
    HERE.write_text(text, encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
