#!/usr/bin/env bash
# One real window under a virtual display, driven by pointer and keys: starts on the built-in
# sample, moves controls, drags a part, places one by typing, changes the stage, asks about unsaved
# work and closes. After every step the picture must have changed; nothing moves while it is idle.
#
# usage: tests/window.sh PROGRAM [FOLDER FOR PICTURES]
# Needs Xvfb, xdotool and ImageMagick (import, compare).
set -euo pipefail

program=$(realpath "$1")
work=$(mktemp -d)
shots=${2:-$work}
mkdir -p "$shots"
server='' app=''
finish() {
    if [ -n "$app" ]; then kill "$app" 2>/dev/null || true; fi
    if [ -n "$server" ]; then kill "$server" 2>/dev/null || true; fi
    rm -rf "$work"
}
trap finish EXIT
fail() { echo "window: $1" >&2; sed 's/^/  /' "$work/log" >&2 || true; exit 1; }

# A display number the server finds free itself.
mkfifo "$work/number"
Xvfb -displayfd 7 -screen 0 1440x900x24 -nolisten tcp 7>"$work/number" >/dev/null 2>&1 &
server=$!
read -r -t 30 number <"$work/number" || fail "the virtual display did not start"
export DISPLAY=":$number" LIBGL_ALWAYS_SOFTWARE=1 OHMLOOM_DATA_DIR="$work/data"
unset WAYLAND_DISPLAY

"$program" demo >"$work/log" 2>&1 &
app=$!
window=''
for _ in $(seq 120); do
    kill -0 "$app" 2>/dev/null || fail "the program ended before its window came"
    window=$(xdotool search --onlyvisible --name 'Ohmloom' 2>/dev/null | head -1) && [ -n "$window" ] && break
    sleep 0.5
done
[ -n "$window" ] || fail "no window came"
xdotool windowfocus "$window"

# Differing pixels between two pictures.
differing() { compare -metric AE "$1" "$2" null: 2>&1 | sed 's/[ (].*//' || true; }

# Takes pictures until two in a row are alike: the window has come to rest.
last=''
settle() {
    local now="$shots/$1.png" before="$work/before.png"
    import -window root "$now"
    for _ in $(seq 40); do
        sleep 0.4
        mv "$now" "$before"
        import -window root "$now"
        [ "$(differing "$before" "$now")" = 0 ] && return
    done
    fail "the window never comes to rest after: $1"
}

# A step: its name, least number of pixels that must change, and what to do.
step() {
    local name=$1 least=$2 pixels
    shift 2
    "$@"
    settle "$name"
    if [ -n "$last" ]; then
        pixels=$(differing "$last" "$shots/$name.png")
        awk -v p="$pixels" -v l="$least" 'BEGIN { exit !(p >= l) }' || fail "nothing happened on: $name ($pixels pixels)"
        echo "  $name: $pixels pixels changed"
    fi
    last="$shots/$name.png"
}
click() { xdotool mousemove "$1" "$2" sleep 0.1 click 1; }
drag() {
    xdotool mousemove "$1" "$2" sleep 0.1 mousedown 1 sleep 0.1 \
        mousemove "$((($1 + $3) / 2))" "$((($2 + $4) / 2))" sleep 0.1 mousemove "$3" "$4" sleep 0.1 mouseup 1
}
title_has() {
    local title
    title=$(xdotool getwindowname "$window")
    case $title in *"$1"*) ;; *) fail "the title is \"$title\", without \"$1\"" ;; esac
}

sleep 1
step start 0 true
title_has 'Ohmloom'
title_has 'orwarder'
case $(xdotool getwindowname "$window") in *●*) fail "the sample counts as unsaved" ;; esac

# Idle costs nothing: two seconds of rest, in hundredths of a second of CPU.
ticks() { awk '{ print $14 + $15 }' "/proc/$app/stat"; }
before=$(ticks)
sleep 2
used=$(($(ticks) - before))
[ "$used" -le 10 ] || fail "the idle window used $used hundredths of a second of CPU in two seconds"
echo "  idle: $used hundredths of a second of CPU in two seconds"

step gate-by-key 1000 xdotool key 1
step gate-back-by-pointer 1000 click 66 785
step stage-read 20000 xdotool key F4
step stage-sketch-by-pointer 20000 click 512 22
step drag-a-part 200 drag 329 354 329 402
title_has '●'
place() {
    xdotool key p sleep 0.3 type --delay 60 6k81
    xdotool sleep 0.2 key Return sleep 0.2
    click 850 560
    xdotool sleep 0.2 key Escape
}
step place-by-typing 200 place

# The layout: a place by its name, a run from dot to dot with its length, and back to the sheet.
step stage-route 20000 xdotool key F7
place_on_layout() {
    xdotool key p sleep 0.3 type --delay 60 shelf
    xdotool sleep 0.2 key Return sleep 0.2 key Escape sleep 0.2 key Escape
}
step place-on-the-layout 100 place_on_layout
step stage-sketch 20000 xdotool key F3
step dark-theme 200000 xdotool key ctrl+t
step question-on-close 2000 xdotool key ctrl+q
kill -0 "$app" 2>/dev/null || fail "it closed in spite of unsaved work"

# The keyboard is on "Save"; the next answer throws the changes away.
xdotool key Tab sleep 0.3 key Return
for _ in $(seq 40); do
    kill -0 "$app" 2>/dev/null || break
    sleep 0.25
done
if kill -0 "$app" 2>/dev/null; then fail "it does not close"; fi
code=0
wait "$app" || code=$?
app=''
[ "$code" = 0 ] || fail "exit code $code"
[ -f "$work/data/settings.json" ] || fail "the theme was not kept"
if ls "$work/data/autosave/"slot-*.json >/dev/null 2>&1; then fail "a copy of discarded work was left"; fi
echo "window: all steps done"
