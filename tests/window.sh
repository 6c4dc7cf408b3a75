#!/usr/bin/env bash
# Drives one real window under a virtual X server, as a hand would: keys, pointer, pictures, close.
# usage: tests/window.sh PROGRAM [FOLDER FOR PICTURES]
set -euo pipefail
program=$(realpath "$1")
pictures=${2:-target/pictures/window}
mkdir -p "$pictures"
scratch=$(mktemp -d)
export OHMLOOM_DATA_DIR="$scratch/data" XDG_RUNTIME_DIR="$scratch" LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY

fail() { echo "window: $1" >&2; exit 1; }

exec 3>"$scratch/display"
Xvfb -displayfd 3 -screen 0 1440x900x24 >"$scratch/xvfb.log" 2>&1 &
server=$!
window_program=
trap 'kill $window_program $server 2>/dev/null || true; rm -rf "$scratch"' EXIT
for _ in $(seq 100); do [ -s "$scratch/display" ] && break; sleep 0.1; done
[ -s "$scratch/display" ] || fail "the virtual X server did not start"
DISPLAY=":$(cat "$scratch/display")"
export DISPLAY

"$program" demo forwarder >"$scratch/out" 2>&1 &
window_program=$!
id=
for _ in $(seq 300); do
    id=$(xdotool search --onlyvisible --name 'Ohmloom' 2>/dev/null | head -n 1) && [ -n "$id" ] && break
    kill -0 $window_program 2>/dev/null || { cat "$scratch/out" >&2; fail "the program ended before its window opened"; }
    sleep 0.1
done
[ -n "$id" ] || fail "no window opened within 30 s"
xdotool windowmove "$id" 0 0 windowsize "$id" 1440 900 || true
xdotool windowfocus "$id"
sleep 3

shot() { import -window "$id" "$pictures/$1.png"; }
# A picture must differ from the one before it: something on screen answered the hand.
changed() {
    local pixels
    pixels=$(compare -metric AE "$pictures/$1.png" "$pictures/$2.png" null: 2>&1 || true)
    pixels=${pixels%%[!0-9]*}
    [ "${pixels:-0}" -gt 500 ] || fail "$3 (only $pixels pixels changed between $1 and $2)"
}
colours=$(shot 1-start; identify -format '%k' "$pictures/1-start.png")
[ "$colours" -gt 50 ] || fail "the window stays blank ($colours colours)"

xdotool key --window "$id" 1; sleep 1.5; shot 2-gate
changed 1-start 2-gate "key 1 did not move the gate"
xdotool mousemove --window "$id" 60 790; sleep 0.3; xdotool click 1; sleep 1.5; shot 3-gate-back
changed 2-gate 3-gate-back "a click on the gate did not move it back"
xdotool key --window "$id" F4; sleep 1.5; shot 4-read
changed 3-gate-back 4-read "F4 did not show stage Read"
xdotool key --window "$id" F5; sleep 1.5; shot 5-cut
changed 4-read 5-cut "F5 did not show stage Cut"
xdotool key --window "$id" F9; sleep 1.5; shot 6-bench
changed 5-cut 6-bench "F9 did not change the theme"
xdotool getwindowname "$id" | grep -q 'Ohmloom' || fail "the title does not name the program"

xdotool key --window "$id" ctrl+q
for _ in $(seq 100); do kill -0 $window_program 2>/dev/null || break; sleep 0.1; done
kill -0 $window_program 2>/dev/null && fail "ctrl+q did not close the window"
code=0; wait $window_program || code=$?
[ "$code" -eq 0 ] || { cat "$scratch/out" >&2; fail "the program ended with exit code $code"; }
echo "window: opened, moved a control by key and by pointer, showed three stages and both themes, closed"
