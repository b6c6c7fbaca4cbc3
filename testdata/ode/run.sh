#!/bin/sh
# SPDX-License-Identifier: MIT
# Makes the results again: run.sh            all motions, into results.csv
#                          run.sh with OPTION...  the same with options of tip, to standard output
#                          run.sh speeds     the demo with its strike ever faster, into speeds.csv
# Needs libode-dev, nlohmann-json3-dev, g++, go and python3. WORK names a
# folder for programs and traces (made and removed when left out), JOBS how many
# simulations run at once (2), GAITWRIGHT a program to use instead of building it.
set -eu
cd "$(dirname "$0")"
what=${1:-all}
[ $# -gt 0 ] && shift
jobs=${JOBS:-2}
if [ -z "${WORK:-}" ]; then
	WORK=$(mktemp -d)
	trap 'rm -rf "$WORK"' EXIT
fi
mkdir -p "$WORK"
export WORK
g++ -std=c++17 -O2 -Wall -Wextra -o "$WORK/tip" tip.cpp -lode
if [ -n "${GAITWRIGHT:-}" ]; then
	cp "$GAITWRIGHT" "$WORK/gaitwright"
else
	(cd ../.. && go build -o "$WORK/gaitwright" ./cmd/gaitwright)
fi

# one FILE NAME [option...] simulates a workfile; its trace goes afterwards.
cat >"$WORK/one" <<'END'
#!/bin/sh
set -eu
file=$1 name=$2
shift 2
"$WORK/gaitwright" trace "$file" --rate 1000 --out "$WORK/$name.csv" >"$WORK/$name.log" 2>&1
"$WORK/gaitwright" describe "$file" >"$WORK/$name.json"
"$WORK/tip" --name "$name" "$@" "$WORK/$name.csv" "$WORK/$name.json" >"$WORK/$name.line"
rm "$WORK/$name.csv"
END
chmod +x "$WORK/one"

case $what in
all | with)
	python3 motions.py
	tail -n +2 motions.csv | while IFS=, read -r name _; do
		echo "motions/$name.toml $name${*:+ $*}"
	done | xargs -P "$jobs" -L 1 "$WORK/one"
	{
		"$WORK/tip" --header
		tail -n +2 motions.csv | while IFS=, read -r name _; do cat "$WORK/$name.line"; done
	} >"$WORK/results"
	if [ "$what" = with ]; then cat "$WORK/results"; else cp "$WORK/results" results.csv; fi
	;;
speeds)
	speeds="1 1.25 1.5 1.75 2 2.5 3 4 6 8"
	for speed in $speeds; do
		awk -v s="$speed" '/^\[\[sequence\]\]/ { act = 0 } /^move = "strike"/ { act = 1 }
			act && /^speed = / { $0 = "speed = " s } { print }' ../../assets/drummer.toml >"$WORK/strike-$speed.toml"
		echo "$WORK/strike-$speed.toml strike-$speed"
	done | xargs -P "$jobs" -L 1 "$WORK/one"
	{
		"$WORK/tip" --header
		for speed in $speeds; do cat "$WORK/strike-$speed.line"; done
	} >speeds.csv
	;;
*)
	echo "usage: run.sh [all | with OPTION... | speeds]" >&2
	exit 2
	;;
esac
