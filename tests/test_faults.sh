#!/bin/bash
# SPDX-License-Identifier: ISC
# Every command that writes, while the system refuses: a full disk, no permission, a limit on file
# sizes, a broken pipe, a signal at any moment. Whatever happens, the directory holds what it held before
# or a complete result, and the exit status says which.
. tests/support/counts.sh
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
scratch=$(mktemp -d)
mounted=
trap '[ -z "$mounted" ] || umount "$mounted" 2>/dev/null; rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1
mkdir in work
cp "$presets/job-12-full.ttl" in/full.ttl
cp "$presets/job-12-plain-split.ttl" in/split.ttl
# A short recording made by the program itself: an impulse response is a WAV file.
"$coilwright" impulse in/full.ttl -r 24000 --length 24000 -o in/di.wav >/dev/null || fail 'no recording'

commands=(
    'response ../in/full.ttl -o table.txt'
    'response ../in/full.ttl ../in/split.ttl --plot plot.svg'
    'response ../in/full.ttl --plot plot.png'
    'response ../in/full.ttl --plot plot.pdf'
    'impulse ../in/full.ttl --length 30000 -o impulse.wav'
    'new -b ../in/full.ttl --tone 5 -o new.ttl'
    'new -b ../in/full.ttl --tone 5 -o new.lv2'
    'compare ../in/full.ttl ../in/split.ttl --csv -o compare.csv'
    'split ../in/full.ttl --level 75% --by tap -o split'
    'audition ../in/full.ttl ../in/split.ttl --di ../in/di.wav -o audition'
)
# What each leaves when nothing is wrong: names and contents.
listing() { (cd "$1" && find . -mindepth 1 -printf '%P %y\n' -type f -exec cksum {} + | sort); }
declare -A complete
for command in "${commands[@]}"; do
    rm -rf work/* work/.c*
    # shellcheck disable=SC2086 # the words of the command
    (cd work && "$coilwright" $command >/dev/null 2>../err) || fail "$command: $(cat err)"
    complete[$command]=$(listing work)
done

# After a run with exit status $2 of command $1 under fault $3.
judge() {
    now=$(listing work)
    lines=$(wc -l <err)
    if [ -z "$now" ]; then
        [ "$2" != 0 ] || { fail "$3: '$1' says it is done and left nothing"; return; }
    elif [ "$now" != "${complete[$1]}" ]; then
        fail "$3: '$1' (exit status $2) left something else: $(ls -A work | tr '\n' ' ')"
        return
    fi
    case $2 in
    0) [ -n "$now" ] || { fail "$3: '$1' ended well with nothing"; return; } ;;
    # The result may be complete and what is said afterwards not: then the status is 1, too.
    1) [ "$lines" = 1 ] || { fail "$3: '$1' said $lines lines: $(head -n 3 err)"; return; } ;;
    129 | 130 | 143) ;;
    *) fail "$3: '$1' ended with $2: $(head -n 3 err)"; return ;;
    esac
    pass
}

# run FAULT STATUS-MUST-FAIL WRAPPER... -- : the command in $command, behind a wrapper
run() {
    fault=$1
    shift
    rm -rf work/* work/.c*
    # shellcheck disable=SC2086 # the words of the command
    # What it says goes through a pipe, which no limit on files holds up.
    (cd work && timeout 60 "$@" "$coilwright" $command 2>&1 >/dev/null </dev/null) 2>/dev/null | cat >err
    judge "$command" "${PIPESTATUS[0]}" "$fault"
}

# --- limits on the size of a file, from nothing to nearly all
for command in "${commands[@]}"; do
    for blocks in 0 1 8 64; do # of 1 KiB
        run "at most $blocks KiB a file" bash -c "ulimit -f $blocks"'; exec "$@"' x
    done
done

# --- a small disk that fills up: needs the right to mount
if mount -t tmpfs -o size=24k tmpfs work 2>/dev/null; then
    mounted=$scratch/work
    for command in "${commands[@]}"; do
        for left in 4 12 20; do
            rm -rf work/* work/.c*
            head -c $(((24 - left) * 1024)) /dev/zero >"$scratch/fill"
            cp "$scratch/fill" work/.coil-filler
            before=$(listing work)
            # shellcheck disable=SC2086 # the words of the command
            (cd work && timeout 60 "$coilwright" $command >/dev/null 2>../err </dev/null)
            status=$?
            rm -f work/.coil-filler
            judge "$command" $status "a disk with $left KiB left"
        done
    done
    umount work && mounted=
else
    skip 'no right to mount a small disk'
fi

# --- a directory that may not be written
chmod 755 "$scratch" "$scratch/in"
mkdir -m 555 closed
nobody=()
[ "$(id -u)" != 0 ] || nobody=(setpriv --reuid=65534 --regid=65534 --clear-groups)
if [ "$(id -u)" != 0 ] || { setpriv --version >/dev/null 2>&1 && "${nobody[@]}" test -x "$coilwright"; }; then
    for command in "${commands[@]}"; do
        # shellcheck disable=SC2086 # the words of the command
        (cd closed && "${nobody[@]}" "$coilwright" $command >/dev/null 2>../err </dev/null)
        status=$?
        check "'$command' in a closed directory: status $status, $(cat err)" test $status = 1 -a "$(wc -l <err)" = 1 -a -z "$(ls -A closed)"
    done
else
    skip 'cannot become a user without rights'
fi

# --- a reader that goes away: those that print
for command in 'response ../in/full.ttl --points 90000' 'response --help' 'new -b ../in/full.ttl -o -' 'compare ../in/full.ttl ../in/split.ttl' \
    'split ../in/full.ttl --level 75% --csv' '--help'; do
    rm -rf work/*
    for reader in 'exec 0<&-' 'read -r -n 1'; do
        # shellcheck disable=SC2086 # the words of the command
        status=$( (cd work && { "$coilwright" $command 2>../err; echo $? >&3; } | bash -c "$reader") 3>&1 >/dev/null)
        # A short answer may be in the pipe before the reader goes.
        check "'$command' to a broken pipe: status $status, $(head -n 2 err)" test "$status" = 0 -o "$status" = 1 -a "$(wc -l <err)" = 1
    done
done

# --- the kernel says no, or sends a signal, at the nth call of a kind
if need strace 'no call is made to fail' && strace -qq -o /dev/null -e inject=write:error=ENOSPC:when=60000 true 2>/dev/null; then
    strict() { run "$1" strace -qq -o /dev/null -e "$2"; }
    for command in "${commands[@]}"; do
        for nth in 1 2 3 8; do
            # Once only: the line that tells of it is a write as well.
            strict "write $nth: no space" inject=write:error=ENOSPC:when=$nth
            strict "rename $nth: input or output error" inject=rename,renameat,renameat2:error=EIO:when=$nth
            strict "fsync $nth: input or output error" inject=fsync:error=EIO:when=$nth
            strict "link $nth: not permitted" inject=link:error=EPERM:when=$nth
            strict "mkdir $nth: no permission" inject=mkdir:error=EACCES:when=$nth
            # One signal: a second one of a kind ends a command at once.
            strict "write $nth: SIGTERM" inject=write:signal=TERM:when=$nth
            strict "openat $((nth * 17)): SIGHUP" inject=openat:signal=HUP:when=$((nth * 17))
            strict "unlink $nth: SIGINT" inject=unlink,unlinkat:signal=INT:when=$nth
            strict "rename $nth: SIGTERM" inject=rename,renameat,renameat2:signal=TERM:when=$nth
            strict "link $nth: SIGHUP" inject=link:signal=HUP:when=$nth
        done
    done
    # A file is on the disk before it has its name, and the name after that.
    for force in '' --force; do
        rm -rf work/*
        # shellcheck disable=SC2086 # no word, or one
        (cd work && strace -qq -o ../calls -e trace=fsync,link,rename "$coilwright" new -b ../in/full.ttl -o new.ttl $force)
        check "order of calls${force:+ with $force}: $(cat calls)" test "$(sed 's/(.*//' calls | tr '\n' ' ')" = "fsync $(test "$force" && echo rename || echo link) fsync "
    done
    # Killed at any call of the end while earlier results stand there: these are complete, or the new ones
    # are; what is left hidden is named by the next run. With the exchange in one step and without.
    whole() { (cd work/split && sha256sum --quiet --strict -c contents.txt) 2>/dev/null; }
    again() { (cd work && timeout 60 "$@" "$coilwright" split ../in/full.ttl --level 75% --by tap -f -o split >/dev/null 2>../err </dev/null); }
    for call in renameat2:1 fsync:1 fsync:4 fsync:9 fsync:11 fsync:13 fchmod:1 unlinkat:1 unlinkat:3 unlinkat:8; do
        rm -rf work/* work/.c*
        again
        again strace -qq -o /dev/null -e "inject=${call%:*}:signal=KILL:when=${call#*:}"
        check "killed at $call: results are complete" whole
        left=$(ls -A work | grep -c '^\.coilwright')
        again
        check "killed at $call: the next run names what is left" test "$(grep -c 'is left of a run that was cut off' err)" = "$left"
        check "killed at $call: and is complete" whole
    done
    rm -rf work/* work/.c*
    again
    again strace -qq -o /dev/null -e inject=renameat2:error=EINVAL
    status=$?
    check "no exchange in one step: it is done in three: $(cat err)" test $status = 0 -a ! -s err
    check 'and is complete' whole
    check 'and leaves nothing behind' test "$(ls -A work)" = split
    again strace -qq -o /dev/null -e inject=renameat2:error=EINVAL -e inject=renameat:error=EIO:when=2
    check 'a second step that fails is a failure' test $? = 1
    check 'where the second step fails, the first is taken back' whole
    check 'in one line' test "$(wc -l <err)" = 1 -a "$(ls -A work)" = split
else
    skip 'strace may not be used here: no call is made to fail'
fi
cd "$OLDPWD" || exit 1
counts_done
