# SPDX-License-Identifier: ISC
# Over headers and then all files (each header is named in both places):
#   awk -f headers.awk HEADER... second=1 FILE...
# prints what a file uses of a header that it does not include itself, and the functions of a header
# that are not in the source of the same name. A source has what its own header includes. Names are
# found by their look: all of ours begin with cw_ or CW_.

function base(path) { sub(/.*\//, "", path); return path }
function stem(path) { sub(/\.[a-z]*$/, "", path); return path }

# The line without comments and strings.
function bare(line) {
    gsub(/"([^"\\]|\\.)*"/, "\"\"", line)
    if (in_comment) {
        if (!match(line, /\*\//)) return ""
        line = substr(line, RSTART + 2)
        in_comment = 0
    }
    gsub(/\/\*([^*]|\*+[^*\/])*\*+\//, " ", line)
    if (match(line, /\/\*/)) {
        line = substr(line, 1, RSTART - 1)
        in_comment = 1
    }
    return line
}

# Rooms that never meet may each have a thing of one name: a list of headers.
function declare(name) {
    if (index(" " home[name] " ", " " base(FILENAME) " ") == 0) home[name] = home[name] (home[name] == "" ? "" : " ") base(FILENAME)
}

# Whether a file has one of the headers, or is one.
function has(file, headers, count, header, i, own) {
    own = base(stem(file)) ".h"
    count = split(headers, header, " ")
    for (i = 1; i <= count; i++) {
        if (header[i] == base(file) || (file, header[i]) in includes) return 1
        if ((file, own) in includes && (own, header[i]) in offers) return 1
    }
    return 0
}

# What a header's line declares: macros, functions, tables, types, values of an enum.
function declares(line, name) {
    if (line ~ /^#define CW_[A-Z0-9_]+/ && line !~ /_H$/) {
        split(line, word, /[ (]+/)
        declare(word[2])
        return
    }
    if (line ~ /^#/) return
    if (match(line, /(struct|enum|union) cw_[a-z0-9_]+ *\{/)) {
        name = substr(line, RSTART, RLENGTH)
        gsub(/^[a-z]+ | *\{/, "", name)
        declare(name)
    }
    if (line ~ /^[a-z].*[ *]cw_[a-z0-9_]+[(\[]/ && line !~ /^typedef/) {
        match(line, /[ *]cw_[a-z0-9_]+[(\[]/)
        name = substr(line, RSTART + 1, RLENGTH - 2)
        declare(name)
        if (line !~ /^(static|extern)/) function_of[name] = FILENAME
    }
    if (line ~ /(^|[^a-z])enum( cw_[a-z_0-9]+)? *\{/) in_enum = 1
    if (in_enum) {
        sub(/.*\{/, "", line)
        while (match(line, /(^|[ ,])CW_[A-Z0-9_]+/)) {
            name = substr(line, RSTART, RLENGTH)
            gsub(/[ ,]/, "", name)
            declare(name)
            line = substr(line, RSTART + RLENGTH)
            sub(/^[^,]*/, "", line)
        }
    }
    if ($0 ~ /\}/) in_enum = 0
}

FNR == 1 { in_comment = in_enum = 0 }

!second {
    declares(bare($0))
    next
}

/^#include "/ {
    split($0, word, "\"")
    includes[FILENAME, word[2]] = 1
    if (FILENAME ~ /\.h$/) offers[base(FILENAME), word[2]] = 1
    next
}

{
    line = bare($0)
    if (match(line, /^struct cw_[a-z0-9_]+;/)) announced[FILENAME, substr(line, 8, RLENGTH - 8)] = 1
    if (line ~ /^[a-z].*[ *]cw_[a-z0-9_]+\(/ && line !~ /;$/) {
        match(line, /[ *]cw_[a-z0-9_]+\(/)
        defined[substr(line, RSTART + 1, RLENGTH - 2)] = defined[substr(line, RSTART + 1, RLENGTH - 2)] " " FILENAME
    }
    while (match(line, /(cw|CW)_[A-Za-z0-9_]+/)) {
        if (RSTART == 1 || substr(line, RSTART - 1, 1) !~ /[A-Za-z0-9_]/) uses[FILENAME, substr(line, RSTART, RLENGTH)] = 1
        line = substr(line, RSTART + RLENGTH)
    }
}

END {
    for (use in uses) {
        split(use, part, SUBSEP)
        header = home[part[2]]
        if (header == "" && part[2] ~ /^CW_[PGM]_/) header = "setup.h"
        if (header == "" || (part[1], part[2]) in announced || has(part[1], header)) continue
        print part[1] " uses " part[2] " without " header
    }
    for (name in function_of) {
        file = stem(function_of[name]) ".c"
        if (index(defined[name] " ", " " file " ") == 0) print function_of[name] " declares " name ", which " file " lacks"
    }
}
