# SPDX-License-Identifier: ISC
# A JACK server with the dummy driver for a test, which has $scratch; sourced by bash. Clients are added to the array
# "clients" and end with it. One test of the machine has it at a time.
#
#   jack_server_start [ARGUMENTS of the driver...]   default: 48000 Hz, 1024 frames; says why not, and skips
#   jack_server_end
#   jack_server_drop                       at once, of a server that freewheels: in order it would take ten seconds
#   jack_appear PORT                       waits for a port
clients=()
server=
export JACK_NO_START_SERVER=1

# The server last, so that it ends in order: one that is cut off keeps its place for good in a
# table of eight.
jack_server_end() {
    for id in "${clients[@]}"; do kill "$id" 2>/dev/null; done
    [ ${#clients[@]} = 0 ] || wait "${clients[@]}" 2>/dev/null
    [ -z "$server" ] || { kill "$server" 2>/dev/null; wait "$server" 2>/dev/null; }
    clients=()
    server=
}

jack_server_drop() {
    for id in "${clients[@]}" "$server"; do kill -9 "$id" 2>/dev/null; done
    wait "${clients[@]}" "$server" 2>/dev/null
    clients=()
    server=
}

# A few fixed names, since a name takes over the place that a dead server of that name left.
jack_server_try() {
    for number in 1 2 3; do
        export JACK_DEFAULT_SERVER=coilwright-test-$number
        jackd --no-realtime --no-mlock --sync -n "$JACK_DEFAULT_SERVER" -d dummy "$@" >"$scratch/jackd" 2>&1 &
        server=$!
        for _ in $(seq 60); do
            kill -0 "$server" 2>/dev/null || break
            jack_lsp >/dev/null 2>&1 && return 0
            sleep 0.25
        done
        kill "$server" 2>/dev/null
        wait "$server" 2>/dev/null
    done
    server=
    return 1
}

jack_server_start() {
    [ $# -gt 0 ] || set -- -r 48000 -p 1024
    exec 9<"$(command -v jackd)"
    if ! flock -w 200 9; then
        skip 'another run keeps the JACK server'
        return 1
    fi
    jack_server_try "$@" && return 0
    grep -v -i -e copyright -e 'jackdmp' -e 'free software' -e 'conditions' "$scratch/jackd"
    skip 'no JACK server with the dummy driver can be started here'
    return 1
}

jack_appear() { for _ in $(seq 100); do jack_lsp 2>/dev/null | grep -qx "$1" && return 0; sleep 0.1; done; return 1; }
