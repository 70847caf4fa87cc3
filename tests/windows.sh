#!/bin/bash
# SPDX-License-Identifier: ISC
# Two windows and audio under a sanitizer (make check-windows): windows.sh PROGRAM, which was built with it, on a virtual
# display. CW_WINDOW_SECONDS is how long, CW_WINDOW_SEED what is done.
program=$1
number=$(mktemp -u)
mkfifo "$number"
Xvfb -displayfd 9 -screen 0 2400x1600x24 -nolisten tcp -noreset 9>"$number" 2>/dev/null &
server=$!
trap 'kill $server; rm -f "$number"' EXIT
read -r -t 20 display <"$number" || { echo 'windows: no virtual display can be started here'; exit 1; }
export DISPLAY=:$display TSAN_OPTIONS=exitcode=66
export LSAN_OPTIONS=suppressions=$PWD/tests/support/leaks.txt:print_suppressions=0
# ThreadSanitizer needs memory where it expects it: no random addresses.
setarch "$(uname -m)" -R "$program" "${CW_WINDOW_SECONDS:-60}" "${CW_WINDOW_SEED:-1}"
