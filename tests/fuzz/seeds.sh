#!/bin/sh
# SPDX-License-Identifier: ISC
# Seeds of a fuzz target, and the words that it knows: tests/fuzz/seeds.sh NAME DIRECTORY
name=$1
to=$2
here=$(dirname "$0")
mkdir -p "$to"
: >"$to.dict"
[ -d "$here/seeds/$name" ] && cp "$here/seeds/$name"/* "$to"
[ -d "$here/found/$name" ] && cp "$here/found/$name"/* "$to"
symbols() { sed -n 's/^CW_[A-Z]* *([A-Z_]*, "\([a-z_]*\)".*/\1/p' "$here/../../dsp/parameters.def"; }
# The long options of all commands, as their tables have them.
options() { sed -n 's/.*{OPT_[A-Z_]*, "\([a-z-]*\)".*/--\1/p' "$here"/../../cli/*.c | sort -u; }
quote() { sed 's/.*/"&"/'; }

# riff CHANNELS RATE BITS KIND BYTES: a WAV file; KIND is 1 for whole numbers, 3 for float.
le() { # le BYTES VALUE
    count=$1 value=$2
    while [ "$count" -gt 0 ]; do
        # shellcheck disable=SC2059 # the format is the byte
        printf "\\$(printf %03o $((value & 255)))"
        value=$((value >> 8)) count=$((count - 1))
    done
}
riff() {
    printf RIFF; le 4 $((36 + $5)); printf 'WAVEfmt '; le 4 16; le 2 "$4"; le 2 "$1"; le 4 "$2"
    le 4 $(($2 * $1 * $3 / 8)); le 2 $(($1 * $3 / 8)); le 2 "$3"; printf data; le 4 "$5"
    awk -v n="$5" 'BEGIN { for (i = 0; i < n; i++) printf "%c", 33 + i * 7 % 90 }'
}

case $name in
preset)
    cp "$here"/../../presets/*.ttl "$to"
    { symbols | sed -e 's/^/a_/'; printf '%s\n' lv2:port lv2:symbol lv2:appliesTo pset:value pset:Preset rdfs:label @prefix \
        xsd:float urn:coilwright:voicing '<>' rec_ b_; } | quote >"$to.dict" ;;
quantity)
    { symbols; printf '%s\n' kHz pF nF H kohm Mohm % dB pF/m on off AWG resistance= inductance= resonance= peak= @ 1e308 -inf nan; } |
        quote >"$to.dict" ;;
command)
    { options; symbols; printf '%s\n' a.ttl s.ttl p.ttl '#a' '#b' '#rec' di.wav response compare new split impulse audition; } | quote >"$to.dict" ;;
audio)
    for kind in '1 48000 16 1' '2 44100 24 1' '1 96000 32 3' '1 8000 8 1' '1 44100 64 3' '4 192000 32 1'; do
        # shellcheck disable=SC2086 # four words
        { printf '\001'; riff $kind 96; } >"$to/wav-$(echo "$kind" | tr ' ' -)"
    done
    # An audio file of each other kind, where a converter is there to make it.
    for kind in flac aiff w64; do
        printf '\001' >"$to/$kind"
        sox -n -r 8000 -b 16 -t "$kind" - synth 64s sine 500 2>/dev/null >>"$to/$kind" || rm -f "$to/$kind"
    done
    printf '%s\n' RIFF RF64 WAVE 'fmt ' data fact LIST FORM AIFF AIFC COMM SSND fLaC ds64 bext cue smpl PEAK | quote >"$to.dict" ;;
folder)
    # A byte for what stands there (1: replaced; 2, 4, 8: a link to a directory, a link, a pipe), then the list.
    mark='# Coilwright results 1: SHA-256 of each file'
    x=$(printf x | sha256sum | cut -c 1-64)
    printf 'A%s\n%s  own\n%s  deep/mine\n' "$mark" "$x" "$x" >"$to/own"
    printf 'C%s\n%s  own\n%s  deep/mine\n' "$mark" "$x" "$x" >"$to/deep"
    printf 'I%s\n%s  own\n%s  deep/mine\n%s  pipe\n' "$mark" "$x" "$x" "$x" >"$to/pipe"
    printf 'E%s\n%s  own\n%s  ../outside/mine\n%s  /etc/passwd\n%s  link\n' "$mark" "$x" "$x" "$x" "$x" >"$to/away"
    printf 'Aown\ndeep/mine\n' >"$to/bare"
    printf '%s\n' own deep/mine deep/ ../ outside/mine contents.txt link pipe "$mark" "$x  " | quote >"$to.dict" ;;
key)
    x=$(printf x | sha256sum | cut -c 1-64)
    printf '%s\n' 'coilwright key 1' salt letter question prefer brighter nearer differ level recording candidate reference trials trial "$x" |
        quote >"$to.dict"
    # The plan of each question as the program writes it, after nine bytes of answers.
    key() { # key QUESTION CANDIDATES
        printf '\00612345678coilwright key 1\nsalt %s\nletter 0123abc\nquestion %s\nlevel 0.05\nrecording %s\n' "$x" "$1" "$x"
        for i in $(seq "$2"); do echo "candidate $x label $i"; done
        [ "$1" = nearer ] && echo "reference $x benchmark"
        printf 'trials 6\n'
        for i in 1 2 3 4 5 6; do echo "trial $i $((i % 2 + 1)) $(((i + 1) % 2 + 1))"; done
    }
    key prefer 2 >"$to/prefer"; key brighter 3 >"$to/brighter"; key nearer 2 >"$to/nearer"; key differ 2 >"$to/differ" ;;
code)
    # Sixteen answers, as another program worked them out (tests/test_answer_code.c); the CRC makes codes hard to guess.
    printf 3ABG-ZH86-KJR5-9K >"$to/sixteen"
    printf '0123456789ABCDEFGHJKMNPQRSTVWXYZ' | sed 's/./"&"\n/g' >"$to.dict" ;;
database)
    # Places and values: of the header, of a row, of the schema; and one that is cut off.
    printf '\000\000\000x' >"$to/magic"
    printf '\000\022\000\002\023\000\002' >"$to/versions"
    printf '\000\144\000\005\147\000\000\150\000\377' >"$to/page"
    printf '\000\000\020\012\377\037z' >"$to/row"
    printf '\200' >"$to/cut" ;;
journal)
    # A byte for what is done (0: any text; 1: a byte is changed; 2: cut off), then values, then the place.
    printf '\000coilwright journal 1\n1\t2026-11-26T08:00:00Z\tseal\tbecause=x\tchain=%064d\n' 0 >"$to/text"
    printf '\001\005a\tb\nc\003\377\033x\004====\001x\000\000\200y' >"$to/changed"
    printf '\002\005a\tb\nc\003\377\033x\004====\001x\000\000\100' >"$to/cut"
    printf '%s\n' 'coilwright journal 1' chain= because= | quote >"$to.dict" ;;
seal)
    # A byte for what is done (0: any text; 1: bytes are changed; 2: a line is another), then the line and what it is.
    printf '\000coilwright seal 1\nparameter coils 0\n' >"$to/text"
    printf '\001\000\010x' >"$to/changed"
    printf '\002\002parameter turns 1e300' >"$to/line"
    printf '\002\072limit resistance 0 1e300 ohm' >"$to/limit"
    printf '\002\112date 2026-13-99' >"$to/date"
    printf '\002\200journal 1 %064d\n' 0 >"$to/journal"
    { symbols; printf '%s\n' parameter limit figure program title revision status date because decided before fingerprint journal \
        ohm kohm H Hz F dB 1e308 -0 nan inf 0x1p3; } | quote >"$to.dict" ;;
readings)
    printf 'serial,resistance,temperature,inductance,mode,frequency,resonance\n1,5.8k,22degC,2.3,series,120,4.5k\n"a ""b""",,,2.4 H,parallel,1k,\n' >"$to/all"
    printf '\357\273\277serial,resistance\r\n1,5.8k\r\n\r\n2,5.8\r\n' >"$to/crlf"
    printf '%s\n' serial resistance temperature inductance mode frequency resonance series parallel degC kohm H Hz ',' '""' |
        quote >"$to.dict" ;;
settings)
    printf '> coilwright settings 1\n> name x\n> turns 5000\n>  cable_length 3\302\240m\ncoils series\n> end 3\n' >"$to/some"
    { symbols; printf '%s\n' '> ' '>> ' = : ' on' ' off' coilwright settings; } | quote >"$to.dict" ;;
state)
    # A byte (0: it is played), then properties: which, type (and 4: ends in a zero), size, bytes. 8: format, 9: learned, 10: learned, changed here and there.
    printf '\000\010\001\004\000\001\000\000\000\001\004\006\000Neck.x' >"$to/name"
    printf '\001\004\004\020\000two\nlines\tand 3..' >"$to/notes"
    printf '\001\006\004\204\0001 %064d %064d Ax' 7 8 >"$to/seal"
    printf '\000\012\000\000' >"$to/learned"
    printf '\000\010\001\004\000\001\000\000\000\012\000\003\010\000\001\014\000\077\220\001\177' >"$to/changed"
    printf '\000\012\001\100\002\000' >"$to/cut"
    printf '\000\011\002\010\000CWL2\030\000\000\000' >"$to/short"
    printf '%s\n' CWL2 '1 ' Neck '\x00' '\x18\x00\x00\x00' '\x7f\x80' '\xc2\x9b' | quote >"$to.dict" ;;
take)
    # A byte for what it is (3: the sweep), length or gain and ends, then damage: where, how long, a float.
    printf '\000\000\000\000\000\000\077' >"$to/phrase"
    printf '\000\000\000\371\002\025\120\000\020\017\000\000\200\077' >"$to/loud"
    printf '\003\000\000\200\077\000\000\000\000' >"$to/sweep"
    printf '\003\000\000\000\077\000\000\000\000\100\100\003\000\000\000\076' >"$to/damaged" ;;
signature)
    printf '\001untrusted comment: x\n%s\ntrusted comment: y\n%s\n' \
        "$(printf 'Ed01234567%064d' 0 | base64 -w 0)" "$(printf '%064d' 0 | base64 -w 0)" >"$to/one"
    printf '\000untrusted comment: x\n%s\n' "$(printf 'Ed01234567%032d' 0 | base64 -w 0)" >"$to/key"
    printf '%s\n' 'untrusted comment: ' 'trusted comment: ' RWQ RUQ == | quote >"$to.dict" ;;
core | design)
    # Bytes without a meaning of their own: the target makes settings of them.
    for i in 1 2 3 4 5 6 7 8 9; do
        awk -v seed=$i 'BEGIN { srand(seed); for (i = 0; i < 60 * seed; i++) printf "%c", 1 + int(rand() * 120) }' >"$to/$i"
    done ;;
esac
