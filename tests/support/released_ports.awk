# SPDX-License-Identifier: ISC
# Of the plugin's Turtle as ttl/generate.c writes it: the symbol of each port, then a line 'SYMBOL VALUE LABEL' for each
# of its choices.
/^ +lv2:symbol "/ && /;$/ && port { split($0, part, "\""); symbol = part[2]; print symbol }
/^ +a lv2:(Input|Output)Port/ { port = 1 }
/^ +\]/ { port = 0 }
/^ +lv2:scalePoint \[/ {
    split($0, part, "\"")
    value = $0
    sub(/.*rdf:value +/, "", value)
    sub(/ *\].*/, "", value)
    print symbol, value, part[2]
}
