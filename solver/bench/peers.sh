#!/usr/bin/env bash
# Times bittersum, glpsol, clp and HiGHS (by SciPy) on the same MPS files.
#
#   solver/bench/peers.sh                time the generated programs
#   solver/bench/peers.sh FILE.mps...    time these files, rewritten in the free layout
#
# Each figure is the median time of RUNS whole processes (default 5), in milliseconds: start-up, reading
# and solving. MEASURE=cpu takes processor time instead of wall time, for a machine with other work.
# "own" and "highs" are wall time within the process, the solve call alone; SciPy's work around HiGHS is
# in the latter. An empty program shows what start-up costs. LIMIT seconds (default 300) end a run, shown
# as "-"; a run of glpsol or clp that does not say "optimal" is shown as "?".
# Needs glpsol, clp, and a python3 with SciPy; what is missing is shown as "n/a".
set -euo pipefail
cd "$(dirname "$0")/../.."
runs=${RUNS:-5}
limit=${LIMIT:-300}
measure=${MEASURE:-wall}
python=${PYTHON:-/usr/bin/python3}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
go build -o "$work/bittersum" ./cmd/bittersum
go build -o "$work/bench" ./solver/bench

if [ $# -eq 0 ]; then
	mkdir "$work/programs"
	"$work/bench" export "$work/programs"
	printf 'NAME empty FREE\nROWS\n N objective\n G r\nCOLUMNS\n    x objective 1\n    x r 1\nRHS\nBOUNDS\nENDATA\n' >"$work/programs/empty.mps"
	set -- $(ls -Sr "$work"/programs/*.mps)
else
	mkdir "$work/programs"
	"$work/bench" rewrite "$work/programs" "$@"
	set -- $(ls -Sr "$work"/programs/*.mps)
fi

# milliseconds WORD COMMAND...: the median time, or "-" if a run is cut short, or "?" if the output of a
# run does not hold WORD.
milliseconds() {
	local word=$1 status TIMEFORMAT='%R %U %S'
	shift
	command -v "$1" >/dev/null || { echo n/a; return; }
	for ((i = 0; i < runs; i++)); do
		status=0
		{ time timeout "$limit" "$@" >"$work/out" 2>&1; } 2>"$work/time" || status=$?
		[ $status -ne 124 ] || { echo -; return; }
		grep -qi "$word" "$work/out" || { echo '?'; return; }
		awk -v measure="$measure" '{print 1000 * (measure == "cpu" ? $2 + $3 : $1)}' "$work/time"
		# A run of many seconds is not repeated.
		awk '{exit $1 < 20}' "$work/time" && break
	done | sort -n | awk '/^[-?]/ {bad = $0} {v[NR] = $1} END {if (bad) print bad; else printf "%.0f\n", v[int((NR + 1) / 2)]}'
}

{
printf '%-26s %10s %10s %10s | %10s %10s   %s\n' "program" "bittersum" "glpsol" "clp" "own" "highs" "outcome"
for file in "$@"; do
	outcome=$(timeout "$limit" "$work/bench" time "$file" 2>&1 | tail -1)
	own=$(awk '{print $6}' <<<"$outcome")
	highs=n/a
	if "$python" -c 'import scipy' 2>/dev/null; then
		highs=$(timeout "$limit" "$python" solver/bench/highs.py "$file" "$limit" 2>/dev/null | awk '{print $1}') || highs=-
	fi
	printf '%-26s %10s %10s %10s | %10s %10s   %s\n' "$(basename "$file")" \
		"$(milliseconds '^status *optimal' "$work/bittersum" lp "$file")" \
		"$(milliseconds 'OPTIMAL LP SOLUTION FOUND\|OPTIMAL SOLUTION FOUND' glpsol --freemps "$file")" \
		"$(milliseconds 'Optimal objective\|Optimal - objective' clp "$file" -solve)" \
		"${own:--}" "${highs:--}" "$(awk '{print $9, $10}' <<<"$outcome")"
done
} | tee "$work/table"

# The geometric mean of the ratio to each peer, over the programs that both solved.
awk 'NR > 1 && $1 != "empty.mps" {
	n["glpsol"] += ratio("glpsol", $2, $3); n["clp"] += ratio("clp", $2, $4); n["highs (own)"] += ratio("highs (own)", $6, $7)
}
function ratio(peer, ours, theirs) {
	if (ours + 0 <= 0 || theirs + 0 <= 0) return 0
	sum[peer] += log(ours / theirs)
	return 1
}
END { for (peer in n) if (n[peer]) printf "time against %s: geometric mean %.2f over %d programs\n", peer, exp(sum[peer] / n[peer]), n[peer] }' "$work/table"
