# SPDX-License-Identifier: ISC
# For scripts that have another machine's program beside this one's.

# programs PROGRAM RUNNER... -- FOREIGN-PROGRAM: in $here, ${runner[@]} and $there, to be called from any directory.
programs() {
    here=$(realpath "$1")
    shift
    runner=()
    while [ "$1" != -- ]; do
        runner+=("$1")
        shift
    done
    there=$(realpath "$2")
}

# how_near FILE FILE: of files of 32-bit samples, how many differ and the worst difference as a share of the largest sample;
# nothing where they are not of one length. A WAV file's header counts as samples; as such its words are none below 2.
how_near() {
    paste <(od -A n -v -t f4 -w4 "$1") <(od -A n -v -t f4 -w4 "$2") | awk '
        NF != 2 { exit bad = 1 }
        $1 != $2 { count++; off = $1 - $2; off = off < 0 ? -off : off; worst = off > worst ? off : worst }
        { size = $1 < 0 ? -$1 : $1; if (size < 2 && size > most) most = size }
        END { if (bad || !(most > 0)) { exit 1 } printf "%d %.3g\n", count, worst / most }'
}
