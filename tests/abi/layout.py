"""Writes a C program that prints size and member offsets of every struct in the public header."""
import re
import sys

text = re.sub(r"/\*.*?\*/", "", open(sys.argv[1], encoding="utf-8").read(), flags=re.S)
structs = re.findall(r"typedef struct (bln_\w+) \{(.*?)\} (bln_\w+);", text, flags=re.S)
print("#include <blondel/blondel.h>\n#include <stdio.h>\nint main(void) {")
for tag, body, name in structs:
    assert tag == name, f"{tag} is called {name}"
    print(f'    printf("{name} size %zu\\n", sizeof({name}));')
    for declaration in filter(None, (part.strip() for part in body.split(";"))):
        for declarator in declaration.split(","):
            member = re.search(r"(\w+)(\[[^]]*\])?$", declarator.strip()).group(1)
            print(
                f'    printf("{name}.{member} at %zu, %zu bytes\\n", offsetof({name}, {member}), '
                f"sizeof((({name} *)0)->{member}));"
            )
print("    return 0;\n}")
