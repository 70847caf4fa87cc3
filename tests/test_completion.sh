#!/bin/bash
# SPDX-License-Identifier: ISC
# Completion in a real bash under a pseudo-terminal; the scripts of the other shells at least read.
. tests/support/counts.sh
b=${CW_BUILD:-build}
program=$CW_PROGRAM
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$(dirname "$0")/.." || exit 1
case $program in /*) ;; *) program=$PWD/$program ;; esac
complete=$PWD/tests/support/complete.py

for shell in bash zsh fish; do
    check "completion $shell fails" "$program" completion "$shell" >"$scratch/$shell"
    check "what is installed for $shell is not what the program prints" cmp -s "$b/completions/$shell" "$scratch/$shell"
done
check 'bash reads it' bash -n "$scratch/bash"
if need zsh 'its completion is not read'; then check 'zsh reads it' zsh -n "$scratch/zsh"; fi
if need fish 'its completion is not tried'; then
    check 'fish reads it' fish -n "$scratch/fish"
    offers() { fish -N -c "source $scratch/fish; complete -C'$1'" 2>&1; }
    check 'fish: commands' grep -q '^compare' <(offers 'coilwright com')
    check 'fish: words of a list' grep -q '^alnico-5' <(offers 'coilwright new --magnet ')
    check 'fish: symbols' grep -q 'cable_length=' <(offers 'coilwright compare --set cable')
fi
check 'another shell is refused' test "$("$program" completion tcsh 2>/dev/null; echo $?)" = 2

# LINE > AS COMPLETED > OFFERS (a word of them, or nothing).
mkdir "$scratch/here" && cd "$scratch/here" || exit 1
touch 'my coil.ttl' && mkdir results
cat >"$scratch/cases" <<'EOF2'
coilwright co>coilwright comp>completion
coilwright comparx>coilwright comparx>
coilwright resp>coilwright response >
coilwright new --mag>coilwright new --magnet >alnico-3
coilwright new --magnet al>coilwright new --magnet alnico->alnico-8
coilwright new --magnet=cer>coilwright new --magnet=ceramic >
coilwright new --cable_l>coilwright new --cable-length >
coilwright new --turns >coilwright new --turns >
coilwright new --as >coilwright new --as >rec
coilwright compare x --set gau>coilwright compare x --set gauge=awg->
coilwright compare x --set gauge=awg->coilwright compare x --set gauge=awg->awg-43.5
coilwright compare x --set coils=two-in-s>coilwright compare x --set coils=two-in-series >
coilwright compare x --set cable-l>coilwright compare x --set cable_length=>
coilwright compare x -v coils=one,mag>coilwright compare x -v coils=one,magnet=>
coilwright compare x -v coils=one,magnet=cer>coilwright compare x -v coils=one,magnet=ceramic >
coilwright split x --by tap->coilwright split x --by tap-resistor >
coilwright split x --measure fl>coilwright split x --measure flat >
coilwright split x --series >coilwright split x --series E>E96
coilwright completion f>coilwright completion fish >
coilwright response my>coilwright response my\ coil.ttl >
coilwright audition -o res>coilwright audition -o results/>
EOF2
sed 's/>.*//' "$scratch/cases" | timeout 120 python3 "$complete" bash "$scratch/bash" "$program" >"$scratch/found"
check "the shell answered $(wc -l <"$scratch/found") of $(wc -l <"$scratch/cases") lines" \
    test "$(wc -l <"$scratch/found")" = "$(wc -l <"$scratch/cases")"
while IFS='>' read -r line want offer <&3 && IFS=$'\t' read -r now offers <&4; do
    check "'$line' became '$now', expected '$want'" test "${now% }" = "${want% }"
    [ -z "$offer" ] || check "'$line' offered '$offers', not '$offer'" grep -qE "(^| )$offer( |\$)" <<<"$offers"
done 3<"$scratch/cases" 4<"$scratch/found"
counts_done
