#!/bin/sh
# What `make run` does: load the example garden, answer for one plant, list the round, print its labels.
set -eu
garden="$OUT/garden.sqlite3"

echo "== Loading $EXAMPLE (an invented garden; today is $SLIPWRIGHT_TODAY there)"
slipwright load "$EXAMPLE" --garden "$garden"
echo
echo "== May I cut the climbing rose today?"
slipwright advise "climbing rose" --at 47.45,-122.31 --shoot spent --have tent --want 5
echo
echo "== Today's round"
slipwright today --garden "$garden"
echo
echo "== Labels"
slipwright labels --since 2015-09-01 --stock stake --out "$OUT/labels.pdf" --garden "$garden"
echo "Try next: slipwright --help (in .venv/bin)"
